
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('diagnostics', '0001_initial'),
        ('shop', '0001_initial'),
    ]

    operations = [
        migrations.AddField(
            model_name='assumption',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='attempt',
            name='complaint',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='attempts', to='shop.complaint'),
        ),
        migrations.AddField(
            model_name='cause',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='claim',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='event',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='explanation',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='handoff',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='independentcheck',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddConstraint(
            model_name='instrument',
            constraint=models.CheckConstraint(condition=models.Q(('code', ''), _negated=True), name='instrument_has_code'),
        ),
        migrations.AddConstraint(
            model_name='protocol',
            constraint=models.UniqueConstraint(fields=('system', 'symptom', 'version'), name='protocol_version_once'),
        ),
        migrations.AddConstraint(
            model_name='protocol',
            constraint=models.UniqueConstraint(condition=models.Q(('is_current', True)), fields=('system', 'symptom'), name='protocol_one_current'),
        ),
        migrations.AddField(
            model_name='protocolstep',
            name='protocol',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='steps', to='diagnostics.protocol'),
        ),
        migrations.AddField(
            model_name='requiredstep',
            name='complaint',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='required', to='shop.complaint'),
        ),
        migrations.AddField(
            model_name='requiredstep',
            name='protocol',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='diagnostics.protocol'),
        ),
        migrations.AddField(
            model_name='returnvisit',
            name='index_order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='returns_from_it', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='returnvisit',
            name='return_order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='returns_to', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='reversal',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='suspect',
            name='complaint',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='suspects', to='shop.complaint'),
        ),
        migrations.AddConstraint(
            model_name='testkind',
            constraint=models.UniqueConstraint(fields=('code', 'version'), name='test_kind_version_once'),
        ),
        migrations.AddConstraint(
            model_name='testkind',
            constraint=models.UniqueConstraint(condition=models.Q(('is_current', True)), fields=('code',), name='test_kind_one_current'),
        ),
        migrations.AddConstraint(
            model_name='testkind',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('kind', 'numeric'), _negated=True), models.Q(('unit', ''), _negated=True), _connector='OR'), name='test_kind_numeric_has_unit'),
        ),
        migrations.AddConstraint(
            model_name='testkind',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['numeric', 'attribute', 'code'])), name='test_kind_kind_known'),
        ),
        migrations.AddField(
            model_name='testrun',
            name='instrument',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='diagnostics.instrument'),
        ),
        migrations.AddField(
            model_name='testrun',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddField(
            model_name='testrun',
            name='superseded_by',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='supersedes', to='diagnostics.testrun'),
        ),
        migrations.AddField(
            model_name='trialseries',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.AddConstraint(
            model_name='assumption',
            constraint=models.UniqueConstraint(fields=('order', 'ref'), name='assumption_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='assumption',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='assumption_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='assumption',
            constraint=models.CheckConstraint(condition=models.Q(('status__in', ['', 'open', 'confirmed', 'refuted', 'accepted'])), name='assumption_status_known'),
        ),
        migrations.AddConstraint(
            model_name='attempt',
            constraint=models.CheckConstraint(condition=models.Q(('outcome__in', ['reproduced', 'partly', 'not_reproduced'])), name='attempt_outcome_known'),
        ),
        migrations.AddConstraint(
            model_name='cause',
            constraint=models.UniqueConstraint(fields=('order', 'ref'), name='cause_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='cause',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='cause_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='claim',
            constraint=models.UniqueConstraint(fields=('order', 'ref'), name='claim_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='claim',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='claim_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='claim',
            constraint=models.CheckConstraint(condition=models.Q(('role__in', ['fix', 'trigger'])), name='claim_role_known'),
        ),
        migrations.AddConstraint(
            model_name='event',
            constraint=models.UniqueConstraint(fields=('order', 'ref'), name='event_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='event',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='event_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='event',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['intervention', 'equipment', 'symptom'])), name='event_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='explanation',
            constraint=models.CheckConstraint(condition=models.Q(('rule__in', ['R1', 'R2', 'R3', 'R4', 'R5', 'R6', 'R7', 'R8', 'R9', 'R10', 'R11', 'R12', 'R13', 'R14', 'R15', 'R16', 'R17', 'R18', 'R19', 'R20', 'R21', 'R22', 'R23', 'R24', 'R25', 'R26'])), name='explanation_rule_known'),
        ),
        migrations.AddConstraint(
            model_name='protocolstep',
            constraint=models.UniqueConstraint(fields=('protocol', 'position'), name='protocol_step_place_once'),
        ),
        migrations.AddConstraint(
            model_name='protocolstep',
            constraint=models.UniqueConstraint(fields=('protocol', 'test_code', 'phase'), name='protocol_step_once_a_phase'),
        ),
        migrations.AddConstraint(
            model_name='protocolstep',
            constraint=models.CheckConstraint(condition=models.Q(('position__lt', 8)), name='protocol_at_most_eight_steps'),
        ),
        migrations.AddConstraint(
            model_name='protocolstep',
            constraint=models.CheckConstraint(condition=models.Q(('phase__in', ['before', 'after'])), name='protocol_step_phase_known'),
        ),
        migrations.AddIndex(
            model_name='requiredstep',
            index=models.Index(fields=['code', 'phase'], name='required_step_by_code'),
        ),
        migrations.AddConstraint(
            model_name='requiredstep',
            constraint=models.CheckConstraint(condition=models.Q(('phase__in', ['before', 'after'])), name='required_step_phase_known'),
        ),
        migrations.AddConstraint(
            model_name='requiredstep',
            constraint=models.CheckConstraint(condition=models.Q(('is_waived', True), models.Q(('waiver_approved_by', ''), ('waiver_assumption', ''), ('waiver_by', ''), ('waiver_reason', '')), _connector='OR'), name='required_step_waiver_is_marked'),
        ),
        migrations.AddIndex(
            model_name='returnvisit',
            index=models.Index(fields=['verdict', 'state'], name='return_by_verdict'),
        ),
        migrations.AddIndex(
            model_name='returnvisit',
            index=models.Index(fields=['system', 'symptom'], name='return_by_symptom'),
        ),
        migrations.AddConstraint(
            model_name='returnvisit',
            constraint=models.UniqueConstraint(fields=('index_order', 'return_order'), name='return_pair_once'),
        ),
        migrations.AddConstraint(
            model_name='returnvisit',
            constraint=models.CheckConstraint(condition=models.Q(('index_order', models.F('return_order')), _negated=True), name='return_is_of_another_order'),
        ),
        migrations.AddConstraint(
            model_name='returnvisit',
            constraint=models.UniqueConstraint(condition=models.Q(('counts', True)), fields=('return_order',), name='return_counts_once'),
        ),
        migrations.AddConstraint(
            model_name='returnvisit',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('state', 'excluded'), _negated=True), models.Q(('review_exclusion', ''), _negated=True), _connector='OR'), name='return_review_excluded_says_which', violation_error_message='Choose which exclusion holds.'),
        ),
        migrations.AddConstraint(
            model_name='returnvisit',
            constraint=models.CheckConstraint(condition=models.Q(('state', 'unreviewed'), models.Q(('reviewed_by', ''), _negated=True), _connector='OR'), name='return_reviewed_has_name'),
        ),
        migrations.AddConstraint(
            model_name='suspect',
            constraint=models.CheckConstraint(condition=models.Q(('state__in', ['open', 'ruled_out', 'confirmed'])), name='suspect_state_known'),
        ),
        migrations.AddIndex(
            model_name='testrun',
            index=models.Index(fields=['code', 'point'], name='test_run_by_code'),
        ),
        migrations.AddIndex(
            model_name='testrun',
            index=models.Index(fields=['instrument_ref'], name='test_run_by_instrument'),
        ),
        migrations.AddConstraint(
            model_name='testrun',
            constraint=models.UniqueConstraint(condition=models.Q(('superseded_by__isnull', True)), fields=('order', 'ref'), name='test_run_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='testrun',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='test_run_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='testrun',
            constraint=models.CheckConstraint(condition=models.Q(('phase__in', ['before', 'after'])), name='test_run_phase_known'),
        ),
        migrations.AddConstraint(
            model_name='testrun',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['numeric', 'attribute', 'code'])), name='test_run_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='testrun',
            constraint=models.CheckConstraint(condition=models.Q(('result__in', ['', 'pass', 'fail'])), name='test_run_result_known'),
        ),
        migrations.AddConstraint(
            model_name='testrun',
            constraint=models.CheckConstraint(condition=models.Q(('status__in', ['done', 'not_applicable'])), name='test_run_status_known'),
        ),
        migrations.AddConstraint(
            model_name='testrun',
            constraint=models.CheckConstraint(condition=models.Q(('superseded_by__isnull', True), models.Q(('superseded_reason', ''), _negated=True), _connector='OR'), name='test_run_superseded_has_reason', violation_error_message='Write why the reading is superseded.'),
        ),
        migrations.AddConstraint(
            model_name='testrun',
            constraint=models.CheckConstraint(condition=models.Q(('instrument__isnull', True), models.Q(('instrument_ref', ''), _negated=True), _connector='OR'), name='test_run_instrument_is_named'),
        ),
    ]
