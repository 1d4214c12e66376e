import django.db.models.deletion
import shared.fields
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('diagnostics', '0002_links'),
    ]

    operations = [
        migrations.AddField(
            model_name='testrun',
            name='resolution',
            field=shared.fields.ExactDecimalField(blank=True, max_length=64, null=True, verbose_name='step of the last digit typed, in the unit of the reading'),
        ),
        migrations.CreateModel(
            name='Calibration',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('done_on', models.DateField(verbose_name='calibrated on')),
                ('in_tolerance', models.BooleanField(verbose_name='found within its accuracy')),
                ('found_error', shared.fields.ExactDecimalField(blank=True, max_length=64, null=True, verbose_name='error found')),
                ('error_unit', models.CharField(blank=True, max_length=64, verbose_name='unit of the error')),
                ('error_of', models.CharField(blank=True, max_length=64, verbose_name='in readings of')),
                ('due_next', models.DateField(blank=True, null=True, verbose_name='next due')),
                ('note', models.CharField(blank=True, max_length=300)),
                ('kept_by', models.CharField(max_length=64)),
                ('kept_at', models.DateTimeField()),
                ('instrument', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='calibrations', to='diagnostics.instrument')),
            ],
            options={
                'ordering': ['-done_on', '-pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('found_error__isnull', True), models.Q(('error_unit', ''), _negated=True), _connector='OR'), name='calibration_error_has_unit', violation_error_message='Write the unit of the error, or %% for a share of the reading.'), models.CheckConstraint(condition=models.Q(('in_tolerance', True), ('found_error__isnull', False), _connector='OR'), name='calibration_out_says_how_far', violation_error_message='Write how far it was out, so that its readings can be checked.')],
            },
        ),
        migrations.CreateModel(
            name='InstrumentRange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('unit', models.CharField(max_length=64)),
                ('low', shared.fields.ExactDecimalField(max_length=64, verbose_name='from')),
                ('high', shared.fields.ExactDecimalField(max_length=64, verbose_name='to')),
                ('resolution', shared.fields.ExactDecimalField(blank=True, max_length=64, null=True)),
                ('accuracy_text', models.CharField(max_length=150, verbose_name='accuracy as the maker states it')),
                ('instrument', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='ranges', to='diagnostics.instrument')),
            ],
            options={
                'ordering': ['instrument', 'unit', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('unit', ''), _negated=True), name='instrument_range_has_unit'), models.CheckConstraint(condition=models.Q(('accuracy_text', ''), _negated=True), name='instrument_range_has_accuracy', violation_error_message='Write the accuracy of the range, such as 0.5 %% + 2 counts.'), models.UniqueConstraint(fields=('instrument', 'unit', 'low', 'high'), name='instrument_range_once', violation_error_message='This range is on the list already. Change that one.')],
            },
        ),
    ]
