
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('invoicing', '0001_initial'),
        ('shop', '0001_initial'),
    ]

    operations = [
        migrations.AddField(
            model_name='customerlink',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='links', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='issueddocument',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='documents', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='issueddocument',
            name='replaces',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='invoicing.issueddocument'),
        ),
        migrations.AddField(
            model_name='warrantygrant',
            name='order',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='warranty', to='shop.repairorder'),
        ),
        migrations.AddConstraint(
            model_name='customerlink',
            constraint=models.CheckConstraint(condition=models.Q(('expires_at__gt', models.F('made_at'))), name='customer_link_ends_later'),
        ),
        migrations.AddConstraint(
            model_name='customerlink',
            constraint=models.CheckConstraint(condition=models.Q(('revoked_at__isnull', True), models.Q(('revoked_by', ''), _negated=True), _connector='OR'), name='customer_link_revoked_has_name'),
        ),
        migrations.AddConstraint(
            model_name='issueddocument',
            constraint=models.UniqueConstraint(fields=('order', 'kind', 'version'), name='document_version_once'),
        ),
        migrations.AddConstraint(
            model_name='issueddocument',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('made_at__isnull', True), ('pdf_sha256', '')), models.Q(('made_at__isnull', False), models.Q(('pdf_sha256', ''), _negated=True)), _connector='OR'), name='document_pdf_has_hash'),
        ),
        migrations.AddConstraint(
            model_name='warrantygrant',
            constraint=models.CheckConstraint(condition=models.Q(('last_day__gte', models.F('starts_on'))), name='warranty_ends_after_start'),
        ),
    ]
