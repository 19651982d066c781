"""The door for any WSGI server: ``castworthy.server.wsgi:application``."""

import os

from django.core.wsgi import get_wsgi_application

from castworthy.server.place import make_data_folder

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "castworthy.server.settings")
make_data_folder()
application = get_wsgi_application()
