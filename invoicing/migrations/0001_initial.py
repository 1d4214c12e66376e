
import django.core.serializers.json
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='CustomerLink',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('token_sha256', models.CharField(max_length=64, unique=True)),
                ('made_at', models.DateTimeField()),
                ('made_by', models.CharField(max_length=64)),
                ('expires_at', models.DateTimeField()),
                ('revoked_at', models.DateTimeField(blank=True, null=True)),
                ('revoked_by', models.CharField(blank=True, max_length=64)),
                ('last_seen_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'ordering': ['-made_at'],
            },
        ),
        migrations.CreateModel(
            name='IssuedDocument',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('findings', 'findings sheet'), ('warranty', 'warranty note')], max_length=8)),
                ('version', models.PositiveIntegerField()),
                ('data', models.JSONField(encoder=django.core.serializers.json.DjangoJSONEncoder)),
                ('data_sha256', models.CharField(max_length=64)),
                ('template_version', models.CharField(max_length=16)),
                ('pdf', models.BinaryField(null=True)),
                ('pdf_sha256', models.CharField(blank=True, max_length=64)),
                ('issued_at', models.DateTimeField()),
                ('issued_by', models.CharField(max_length=64)),
                ('made_at', models.DateTimeField(null=True)),
                ('error', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['order', 'kind', '-version'],
            },
        ),
        migrations.CreateModel(
            name='WarrantyGrant',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('starts_on', models.DateField()),
                ('months', models.PositiveSmallIntegerField()),
                ('last_day', models.DateField(verbose_name='last covered day')),
                ('distance', models.PositiveIntegerField(verbose_name="distance allowed, in the odometer's unit")),
                ('distance_unit', models.CharField(choices=[('km', 'km'), ('mi', 'miles')], max_length=2)),
                ('last_reading', models.PositiveIntegerField(blank=True, null=True, verbose_name='last covered odometer reading')),
                ('covered', models.JSONField(default=list, verbose_name='parts and work covered')),
                ('granted_by', models.CharField(max_length=64)),
                ('granted_at', models.DateTimeField()),
            ],
        ),
    ]
