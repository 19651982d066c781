"""A refused deed, marked at the field it is about."""

from django.forms import Form

from castworthy.actions.errors import DeedRefused


def refuse(form: Form, refused: DeedRefused, **renamed: str) -> None:
    """Put a refusal at its field; ``renamed`` maps the deed's names to the form's."""
    field = renamed.get(refused.field, refused.field)
    form.add_error(field if field in form.fields else None, refused.sentence)
