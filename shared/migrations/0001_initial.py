
import django.core.serializers.json
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='AuditEntry',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField(db_index=True)),
                ('actor_name', models.CharField(max_length=150)),
                ('action', models.CharField(max_length=64)),
                ('record', models.CharField(max_length=64)),
                ('record_id', models.CharField(max_length=64)),
                ('order_number', models.CharField(blank=True, max_length=64)),
                ('before', models.JSONField(encoder=django.core.serializers.json.DjangoJSONEncoder, null=True)),
                ('after', models.JSONField(encoder=django.core.serializers.json.DjangoJSONEncoder, null=True)),
                ('reason', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['-at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='OutboxRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=64)),
                ('payload', models.JSONField(default=dict, encoder=django.core.serializers.json.DjangoJSONEncoder)),
                ('key', models.CharField(max_length=128, unique=True)),
                ('asked_at', models.DateTimeField()),
                ('not_before', models.DateTimeField()),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('leased_until', models.DateTimeField(null=True)),
                ('done_at', models.DateTimeField(null=True)),
                ('failed_at', models.DateTimeField(null=True)),
                ('error', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['not_before', 'pk'],
            },
        ),
    ]
