"""What lists filter and sort by; which solution stood in the burette; imported determinations under keys of their own.

A determination that came in with its worksheet had the key of its event times a thousand, and its place; many events
later a determination entered at the bench would have had the same. Now such keys lie below nought.
"""

import json
from typing import Any

from django.db import migrations, models

from assaywright.records.projections.assays import imported_key, in_burette_of

CHUNK = 2000


def fill(apps: Any, schema: Any) -> None:
    """Write what follows from the events, as they are on record, into the new column and under the new keys."""
    owner = schema.connection.alias  # whoever changes the tables; another would wait for its lock for ever
    assays, determinations, events = (apps.get_model("records", name).objects.using(owner)
                                      for name in ("Assay", "Determination", "Event"))
    some = []
    for one in assays.only("identity", "body").iterator(CHUNK):
        one.in_burette = in_burette_of(json.loads(one.body))
        some.append(one)
        if len(some) == CHUNK:
            assays.bulk_update(some, ["in_burette"])
            some = []
    assays.bulk_update(some, ["in_burette"])
    for event in events.filter(kind="assay.imported").iterator(CHUNK):
        for place in range(1, len(json.loads(event.payload).get("determinations", ())) + 1):
            determinations.filter(pk=event.number * 1000 + place, assay=event.subject).update(
                id=imported_key(event.number, place))


def index(model: str, name: str, *fields: str) -> migrations.AddIndex:
    """Return the operation that adds an index."""
    return migrations.AddIndex(model_name=model, index=models.Index(fields=fields, name=name))


class Migration(migrations.Migration):
    """Add a column and indexes."""

    dependencies = [
        ('records', '0003_kept_readings'),
    ]

    operations = [
        migrations.AddField(
            model_name='assay', name='in_burette',
            field=models.CharField(blank=True, db_index=True, default='', max_length=60)),
        migrations.AlterField(
            model_name='investigation', name='stage', field=models.CharField(db_index=True, max_length=20)),
        migrations.RunPython(fill, migrations.RunPython.noop),
        index('assay', 'assay_stage', 'stage', 'identity'),
        index('assay', 'assay_performed', 'performed', 'identity'),
        index('assay', 'assay_method', 'method', 'identity'),
        index('assay', 'assay_analyst', 'analyst', 'performed', 'identity'),
        index('assay', 'assay_counted', 'stage', 'kind', 'method', 'analyst', 'performed'),
        index('assay', 'assay_version', 'version'),
        index('certificate', 'certificate_issued', 'issued', 'number'),
        index('certificate', 'certificate_standing', 'superseded_by', 'issued', 'number'),
        index('certificate', 'certificate_version', 'version'),
        index('historicresult', 'historic_performed', 'performed', 'id'),
        index('historicresult', 'historic_product', 'product', 'performed', 'id'),
        index('historicresult', 'historic_source', 'source', 'row'),
        index('lot', 'lot_state', 'state', 'identity'),
        index('lot', 'lot_product', 'product', 'identity'),
        index('lot', 'lot_made', 'made', 'identity'),
        index('lot', 'lot_use_before', 'use_before', 'identity'),
        index('lot', 'lot_counted', 'state', 'product', 'made'),
        index('lot', 'lot_state_version', 'state', 'version'),
        index('lot', 'lot_version', 'version'),
    ]
