
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('shared', '0001_initial'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='auditentry',
            name='actor',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddIndex(
            model_name='outboxrow',
            index=models.Index(condition=models.Q(('done_at__isnull', True), ('failed_at__isnull', True)), fields=['not_before', 'id'], name='outbox_waiting'),
        ),
        migrations.AddConstraint(
            model_name='outboxrow',
            constraint=models.CheckConstraint(condition=models.Q(('done_at__isnull', True), ('failed_at__isnull', True), _connector='OR'), name='outbox_row_ends_once'),
        ),
        migrations.AddIndex(
            model_name='auditentry',
            index=models.Index(fields=['record', 'record_id', 'at'], name='audit_by_record'),
        ),
        migrations.AddIndex(
            model_name='auditentry',
            index=models.Index(fields=['order_number', 'at'], name='audit_by_order'),
        ),
    ]
