import django.db.models.deletion
from django.db import migrations, models

from diagnostics.similar.fulltext import drop_index, make_index


class Migration(migrations.Migration):

    dependencies = [
        ('diagnostics', '0009_the_audit'),
        ('shop', '0004_audit_policy'),
    ]

    operations = [
        migrations.CreateModel(
            name='JobText',
            fields=[
                ('order', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, primary_key=True, related_name='text', serialize=False, to='shop.repairorder')),
                ('words', models.TextField()),
            ],
        ),
        migrations.RunPython(
            lambda apps, schema_editor: make_index(schema_editor),
            lambda apps, schema_editor: drop_index(schema_editor),
        ),
    ]
