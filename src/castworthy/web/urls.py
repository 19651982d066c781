"""Every address, collected from the views that answer it."""

from castworthy.web.views import (
    assemble,
    customers,
    deck,
    finish,
    first_run,
    gauges,
    history,
    leak_log,
    machine,
    measure,
    papers,
    people,
    photos,
    plan,
    prove,
    rack,
    release,
    ring,
    search,
    sheets,
    sign_in,
    sums,
    suppliers,
    take_in,
)

urlpatterns = [
    pattern
    for module in (
        rack,
        first_run,
        sign_in,
        take_in,
        measure,
        plan,
        finish,
        deck,
        ring,
        machine,
        assemble,
        prove,
        leak_log,
        release,
        history,
        papers,
        photos,
        sheets,
        suppliers,
        customers,
        gauges,
        people,
        search,
        sums,
    )
    for pattern in module.urlpatterns
]
