
import django.contrib.auth.models
import django.contrib.auth.validators
import django.db.models.deletion
import django.db.models.functions.text
import django.utils.timezone
import shared.fields
import shop.models.location
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('auth', '0012_alter_user_first_name_max_length'),
    ]

    operations = [
        migrations.CreateModel(
            name='Complaint',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('ref', models.CharField(max_length=64, verbose_name='id')),
                ('kind', models.CharField(choices=[('symptom', 'something is wrong'), ('maintenance', 'maintenance'), ('inspection', 'inspection')], default='symptom', max_length=12)),
                ('text', models.TextField(verbose_name="in the customer's words")),
                ('system', models.CharField(blank=True, db_index=True, max_length=64)),
                ('symptom', models.CharField(blank=True, max_length=64)),
                ('component', models.CharField(blank=True, max_length=64)),
                ('pattern', models.CharField(blank=True, choices=[('constant', 'always'), ('intermittent', 'comes and goes')], max_length=12)),
                ('difficulty', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('plan_n', models.IntegerField(blank=True, null=True, verbose_name='trials planned')),
                ('plan_conditions', models.TextField(blank=True, verbose_name='conditions of the trials')),
                ('intake', models.JSONField(blank=True, default=dict, verbose_name='answers at the desk')),
                ('is_safety', models.BooleanField(default=False, verbose_name='safety concern')),
                ('taken_by', models.CharField(blank=True, max_length=64)),
                ('taken_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'ordering': ['order', 'position', 'pk'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='NumberSeries',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=32, unique=True)),
                ('last', models.PositiveBigIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name='System',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=64, unique=True)),
                ('name', models.CharField(max_length=100)),
                ('nhtsa', models.CharField(blank=True, max_length=100, verbose_name='NHTSA component')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='ComplaintNote',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('text', models.TextField()),
                ('added_by', models.CharField(max_length=64)),
                ('added_at', models.DateTimeField()),
                ('complaint', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='notes', to='shop.complaint')),
            ],
            options={
                'ordering': ['added_at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Customer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=64, unique=True, verbose_name='id')),
                ('name', models.CharField(blank=True, max_length=150)),
                ('phone', models.CharField(blank=True, max_length=64)),
                ('email', models.CharField(blank=True, max_length=254)),
                ('address', models.TextField(blank=True)),
                ('reach', models.CharField(blank=True, help_text='By text until 18:00', max_length=200, verbose_name='how to reach')),
            ],
            options={
                'ordering': ['name', 'code'],
                'indexes': [models.Index(fields=['name', 'code'], name='customer_by_name'), models.Index(fields=['phone'], name='customer_by_phone')],
                'constraints': [models.CheckConstraint(condition=models.Q(('code', ''), _negated=True), name='customer_has_code')],
            },
        ),
        migrations.CreateModel(
            name='Location',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=64, unique=True, verbose_name='id')),
                ('name', models.CharField(blank=True, max_length=150)),
                ('address', models.TextField(blank=True)),
                ('phone', models.CharField(blank=True, max_length=40)),
                ('email', models.EmailField(blank=True, max_length=254)),
                ('time_zone', models.CharField(default='UTC', max_length=64, validators=[shop.models.location.check_time_zone])),
                ('currency', models.CharField(default='EUR', max_length=3)),
                ('distance_unit', models.CharField(choices=[('km', 'kilometres'), ('mi', 'miles')], default='km', max_length=2)),
                ('single_person', models.BooleanField(default=False, verbose_name='one-person shop')),
                ('window_days', models.PositiveIntegerField(default=90, verbose_name='comeback window, days')),
                ('window_km', shared.fields.ExactDecimalField(default=Decimal('6000'), max_length=64, verbose_name='comeback window, km')),
                ('warranty_months', models.PositiveSmallIntegerField(default=12)),
                ('warranty_distance', models.PositiveIntegerField(default=12000, verbose_name='warranty distance, in the distance unit')),
            ],
            options={
                'ordering': ['name', 'code'],
                'constraints': [models.CheckConstraint(condition=models.Q(('code', ''), _negated=True), name='location_has_code'), models.CheckConstraint(condition=models.Q(('distance_unit__in', ['km', 'mi'])), name='location_distance_unit')],
            },
        ),
        migrations.CreateModel(
            name='StaffMember',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('is_superuser', models.BooleanField(default=False, help_text='Designates that this user has all permissions without explicitly assigning them.', verbose_name='superuser status')),
                ('username', models.CharField(error_messages={'unique': 'A user with that username already exists.'}, help_text='Required. 150 characters or fewer. Letters, digits and @/./+/-/_ only.', max_length=150, unique=True, validators=[django.contrib.auth.validators.UnicodeUsernameValidator()], verbose_name='username')),
                ('first_name', models.CharField(blank=True, max_length=150, verbose_name='first name')),
                ('last_name', models.CharField(blank=True, max_length=150, verbose_name='last name')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='email address')),
                ('is_staff', models.BooleanField(default=False, help_text='Designates whether the user can log into this admin site.', verbose_name='staff status')),
                ('is_active', models.BooleanField(default=True, help_text='Designates whether this user should be treated as active. Unselect this instead of deleting accounts.', verbose_name='active')),
                ('date_joined', models.DateTimeField(default=django.utils.timezone.now, verbose_name='date joined')),
                ('signs_as', models.CharField(max_length=64, unique=True, verbose_name='signs as')),
                ('is_advisor', models.BooleanField(default=False, verbose_name='service advisor')),
                ('is_technician', models.BooleanField(default=False, verbose_name='technician')),
                ('is_owner', models.BooleanField(default=False, verbose_name='owner')),
                ('groups', models.ManyToManyField(blank=True, help_text='The groups this user belongs to. A user will get all permissions granted to each of their groups.', related_name='user_set', related_query_name='user', to='auth.group', verbose_name='groups')),
                ('user_permissions', models.ManyToManyField(blank=True, help_text='Specific permissions for this user.', related_name='user_set', related_query_name='user', to='auth.permission', verbose_name='user permissions')),
                ('location', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='staff', to='shop.location')),
            ],
            options={
                'ordering': ['signs_as'],
            },
            managers=[
                ('objects', django.contrib.auth.models.UserManager()),
            ],
        ),
        migrations.CreateModel(
            name='RepairOrder',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(max_length=64, unique=True)),
                ('technician', models.CharField(blank=True, max_length=64)),
                ('visit', models.CharField(choices=[('symptom', 'something is wrong'), ('planned', 'planned return'), ('maintenance', 'maintenance')], default='symptom', max_length=12)),
                ('planned_ref', models.CharField(blank=True, max_length=64)),
                ('since_repair', models.BooleanField(default=False, verbose_name='customer or staff link it to an earlier repair')),
                ('opened_on', models.DateField()),
                ('opened_at', models.DateTimeField(blank=True, null=True)),
                ('returned_on', models.DateField(blank=True, null=True)),
                ('returned_at', models.DateTimeField(blank=True, null=True)),
                ('promised_at', models.DateTimeField(blank=True, null=True)),
                ('odo_unit', models.CharField(choices=[('km', 'km'), ('mi', 'miles')], default='km', max_length=2)),
                ('outcome', models.CharField(blank=True, choices=[('repaired', 'repaired'), ('no_fault_found', 'no fault found'), ('monitor', 'watching'), ('declined_all', 'all work declined')], max_length=16)),
                ('waiting_on', models.CharField(blank=True, choices=[('advisor', 'advisor'), ('technician', 'technician'), ('parts', 'parts'), ('customer', 'customer')], max_length=12)),
                ('waiting_since', models.DateTimeField(blank=True, null=True)),
                ('waiting_note', models.CharField(blank=True, max_length=200)),
                ('opened_by', models.CharField(blank=True, max_length=64)),
                ('closed_by', models.CharField(blank=True, max_length=64)),
                ('closing_reason', models.TextField(blank=True, verbose_name='reason for gaps left open')),
                ('currency', models.CharField(blank=True, max_length=3)),
                ('labour_charge', models.CharField(blank=True, max_length=32)),
                ('parts_charge', models.CharField(blank=True, max_length=32)),
                ('total_charge', models.CharField(blank=True, max_length=32)),
                ('unbilled_minutes', models.IntegerField(blank=True, null=True)),
                ('content_hash', models.CharField(blank=True, editable=False, max_length=64)),
                ('customer', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='orders', to='shop.customer')),
                ('entered_by', models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('location', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='orders', to='shop.location')),
            ],
            options={
                'ordering': ['-opened_on', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='PlannedReturn',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('ref', models.CharField(max_length=64, verbose_name='id')),
                ('recorded_on', models.DateField()),
                ('due_on', models.DateField(blank=True, null=True)),
                ('reason', models.TextField(blank=True)),
                ('system', models.CharField(blank=True, max_length=64)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder')),
            ],
            options={
                'ordering': ['order', 'position', 'pk'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='OutsideEvent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('kind', models.CharField(choices=[('damage', 'damage from outside'), ('other_work', 'work by somebody else')], max_length=12)),
                ('happened_on', models.DateField()),
                ('system', models.TextField()),
                ('evidence', models.TextField(blank=True)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder')),
            ],
            options={
                'ordering': ['order', 'position', 'pk'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='DisturbedComponent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('component', models.CharField(max_length=300)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder')),
            ],
            options={
                'ordering': ['order', 'position', 'pk'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='DeclinedItem',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('ref', models.CharField(max_length=64, verbose_name='id')),
                ('system', models.CharField(blank=True, max_length=64)),
                ('component', models.CharField(max_length=300)),
                ('symptom', models.CharField(blank=True, max_length=64)),
                ('risk', models.CharField(choices=[('safety', 'safety'), ('progressive', 'gets worse'), ('comfort', 'comfort')], max_length=12)),
                ('informed_on', models.DateField(blank=True, null=True, verbose_name='customer informed on')),
                ('follow_up_on', models.DateField(blank=True, null=True, verbose_name='look again on')),
                ('test_ref', models.CharField(blank=True, max_length=64)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder')),
            ],
            options={
                'ordering': ['order', 'position', 'pk'],
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='complaint',
            name='order',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder'),
        ),
        migrations.CreateModel(
            name='Authorisation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('minutes', models.PositiveIntegerField()),
                ('given_on', models.DateField()),
                ('given_at', models.DateTimeField(blank=True, null=True)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder')),
            ],
            options={
                'ordering': ['order', 'position', 'pk'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Symptom',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=64, unique=True)),
                ('name', models.CharField(max_length=100)),
                ('says', models.CharField(blank=True, max_length=300, verbose_name='how a customer puts it')),
                ('pattern', models.CharField(blank=True, max_length=12)),
                ('system', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='symptoms', to='shop.system')),
            ],
            options={
                'ordering': ['system', 'name'],
            },
        ),
        migrations.CreateModel(
            name='TimeEntry',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('done_by', models.CharField(max_length=150)),
                ('done_on', models.DateField()),
                ('done_at', models.DateTimeField(blank=True, null=True)),
                ('minutes', models.PositiveIntegerField()),
                ('kind', models.CharField(choices=[('diagnosis', 'finding the fault'), ('repair', 'repair')], max_length=9)),
                ('complaint_ref', models.CharField(blank=True, max_length=64)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder')),
            ],
            options={
                'verbose_name_plural': 'time entries',
                'ordering': ['order', 'position', 'pk'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Vehicle',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=64, unique=True, verbose_name='id')),
                ('vin', models.CharField(blank=True, max_length=64, verbose_name='VIN')),
                ('plate', models.CharField(blank=True, max_length=64)),
                ('year', models.IntegerField(blank=True, null=True)),
                ('make', models.CharField(blank=True, max_length=64)),
                ('model', models.CharField(blank=True, max_length=64)),
                ('engine', models.CharField(blank=True, max_length=64)),
                ('left_on', models.DateField(blank=True, help_text='Sold, scrapped or moved away', null=True)),
                ('keeper', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='vehicles', to='shop.customer')),
            ],
            options={
                'ordering': ['plate', 'code'],
            },
        ),
        migrations.AddField(
            model_name='repairorder',
            name='vehicle',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='orders', to='shop.vehicle'),
        ),
        migrations.CreateModel(
            name='OdometerReading',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('moment', models.CharField(choices=[('in', 'at arrival'), ('out', 'at hand-over'), ('other', 'in between')], max_length=5)),
                ('value', shared.fields.ExactDecimalField(max_length=64)),
                ('unit', models.CharField(choices=[('km', 'km'), ('mi', 'miles')], max_length=2)),
                ('read_on', models.DateField()),
                ('is_backwards', models.BooleanField(default=False)),
                ('explanation', models.CharField(blank=True, max_length=300)),
                ('order', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='odometer_readings', to='shop.repairorder')),
                ('vehicle', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='odometer_readings', to='shop.vehicle')),
            ],
            options={
                'ordering': ['read_on', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='WorkItem',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('ref', models.CharField(max_length=64, verbose_name='id')),
                ('complaint_ref', models.CharField(blank=True, max_length=64)),
                ('kind', models.CharField(choices=[('replace', 'replaced'), ('repair', 'repaired'), ('clean', 'cleaned'), ('adjust', 'adjusted'), ('reset', 'reset')], max_length=8)),
                ('component', models.CharField(max_length=300)),
                ('reason', models.CharField(choices=[('cause', 'it is the cause'), ('maintenance', 'maintenance'), ('access', 'to reach something else'), ('consequential', 'damaged by the cause'), ('customer_request', 'the customer asked for it')], max_length=16)),
                ('cause_ref', models.CharField(blank=True, max_length=64)),
                ('evidence', models.JSONField(blank=True, default=list, verbose_name='cited tests')),
                ('safety', models.BooleanField(default=False, verbose_name='safety-critical')),
                ('done_by', models.CharField(blank=True, max_length=64)),
                ('done_on', models.DateField()),
                ('done_at', models.DateTimeField(blank=True, null=True)),
                ('note', models.TextField(blank=True)),
                ('failure_analysis', models.TextField(blank=True)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='%(class)s_set', to='shop.repairorder')),
            ],
            options={
                'ordering': ['order', 'position', 'pk'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='PartFitted',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('description', models.TextField(blank=True)),
                ('number', models.CharField(blank=True, max_length=64, verbose_name='part number')),
                ('quantity', models.TextField(blank=True)),
                ('condition', models.CharField(blank=True, choices=[('new', 'new'), ('used', 'used'), ('rebuilt', 'rebuilt'), ('reconditioned', 'reconditioned')], max_length=14)),
                ('supplier', models.CharField(blank=True, max_length=64)),
                ('batch', models.CharField(blank=True, max_length=64)),
                ('work', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='part', to='shop.workitem')),
            ],
        ),
        migrations.AddConstraint(
            model_name='staffmember',
            constraint=models.CheckConstraint(condition=models.Q(('signs_as', ''), _negated=True), name='staff_signs_as_something', violation_error_message='Write the name that stands on records.'),
        ),
        migrations.AddConstraint(
            model_name='plannedreturn',
            constraint=models.UniqueConstraint(fields=('order', 'ref'), name='plannedreturn_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='plannedreturn',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='plannedreturn_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='outsideevent',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['damage', 'other_work'])), name='outside_event_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='declineditem',
            constraint=models.UniqueConstraint(fields=('order', 'ref'), name='declineditem_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='declineditem',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='declineditem_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='declineditem',
            constraint=models.CheckConstraint(condition=models.Q(('risk__in', ['safety', 'progressive', 'comfort'])), name='declined_risk_known'),
        ),
        migrations.AddIndex(
            model_name='complaint',
            index=models.Index(fields=['system', 'symptom'], name='complaint_by_symptom'),
        ),
        migrations.AddConstraint(
            model_name='complaint',
            constraint=models.UniqueConstraint(fields=('order', 'ref'), name='complaint_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='complaint',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='complaint_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='complaint',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['symptom', 'maintenance', 'inspection'])), name='complaint_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='complaint',
            constraint=models.CheckConstraint(condition=models.Q(('pattern__in', ['', 'constant', 'intermittent'])), name='complaint_pattern_known'),
        ),
        migrations.AddConstraint(
            model_name='complaint',
            constraint=models.CheckConstraint(condition=models.Q(('plan_conditions', ''), ('plan_n__isnull', False), _connector='OR'), name='complaint_plan_conditions_need_plan'),
        ),
        migrations.AddConstraint(
            model_name='complaint',
            constraint=models.CheckConstraint(condition=models.Q(('difficulty__isnull', True), ('difficulty__range', (1, 3)), _connector='OR'), name='complaint_difficulty_1_to_3'),
        ),
        migrations.AddConstraint(
            model_name='symptom',
            constraint=models.CheckConstraint(condition=models.Q(('pattern__in', ['', 'constant', 'intermittent'])), name='symptom_pattern_known'),
        ),
        migrations.AddConstraint(
            model_name='timeentry',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['diagnosis', 'repair'])), name='time_entry_kind_known'),
        ),
        migrations.AddIndex(
            model_name='vehicle',
            index=models.Index(fields=['plate', 'code'], name='vehicle_by_plate'),
        ),
        migrations.AddIndex(
            model_name='vehicle',
            index=models.Index(fields=['make', 'model', 'year'], name='vehicle_by_model'),
        ),
        migrations.AddConstraint(
            model_name='vehicle',
            constraint=models.CheckConstraint(condition=models.Q(('code', ''), _negated=True), name='vehicle_has_code'),
        ),
        migrations.AddConstraint(
            model_name='vehicle',
            constraint=models.CheckConstraint(condition=models.Q(('vin', django.db.models.functions.text.Upper('vin'))), name='vehicle_vin_upper'),
        ),
        migrations.AddConstraint(
            model_name='vehicle',
            constraint=models.UniqueConstraint(condition=models.Q(('vin', ''), _negated=True), fields=('vin',), name='vehicle_vin_once', violation_error_message='Another vehicle has this VIN. Look it up instead.'),
        ),
        migrations.AddIndex(
            model_name='repairorder',
            index=models.Index(fields=['vehicle', 'opened_on', 'id', 'returned_on'], name='order_by_vehicle'),
        ),
        migrations.AddIndex(
            model_name='repairorder',
            index=models.Index(fields=['-opened_on', '-id'], name='order_newest_first'),
        ),
        migrations.AddIndex(
            model_name='repairorder',
            index=models.Index(fields=['returned_on'], name='order_by_return'),
        ),
        migrations.AddIndex(
            model_name='repairorder',
            index=models.Index(fields=['waiting_on', 'waiting_since'], name='order_by_wait'),
        ),
        migrations.AddIndex(
            model_name='repairorder',
            index=models.Index(fields=['technician'], name='order_by_technician'),
        ),
        migrations.AddConstraint(
            model_name='repairorder',
            constraint=models.CheckConstraint(condition=models.Q(('number', ''), _negated=True), name='order_has_number'),
        ),
        migrations.AddConstraint(
            model_name='repairorder',
            constraint=models.CheckConstraint(condition=models.Q(('returned_at__isnull', True), ('returned_on__isnull', False), _connector='OR'), name='order_returned_instant_has_day'),
        ),
        migrations.AddConstraint(
            model_name='repairorder',
            constraint=models.CheckConstraint(condition=models.Q(('waiting_on', ''), ('returned_on__isnull', True), _connector='OR'), name='order_waits_only_while_open', violation_error_message='A job that was handed back waits on nobody.'),
        ),
        migrations.AddConstraint(
            model_name='repairorder',
            constraint=models.CheckConstraint(condition=models.Q(('outcome__in', ['', 'repaired', 'no_fault_found', 'monitor', 'declined_all'])), name='order_outcome_known'),
        ),
        migrations.AddConstraint(
            model_name='repairorder',
            constraint=models.CheckConstraint(condition=models.Q(('visit__in', ['symptom', 'planned', 'maintenance'])), name='order_visit_known'),
        ),
        migrations.AddConstraint(
            model_name='repairorder',
            constraint=models.CheckConstraint(condition=models.Q(('odo_unit__in', ['km', 'mi'])), name='order_odo_unit'),
        ),
        migrations.AddIndex(
            model_name='odometerreading',
            index=models.Index(fields=['vehicle', 'read_on'], name='odometer_by_vehicle'),
        ),
        migrations.AddConstraint(
            model_name='odometerreading',
            constraint=models.UniqueConstraint(condition=models.Q(('order__isnull', False)), fields=('order', 'moment'), name='odometer_once_an_order'),
        ),
        migrations.AddConstraint(
            model_name='odometerreading',
            constraint=models.CheckConstraint(condition=models.Q(('unit__in', ['km', 'mi'])), name='odometer_unit'),
        ),
        migrations.AddConstraint(
            model_name='odometerreading',
            constraint=models.CheckConstraint(condition=models.Q(('moment', 'other'), ('order__isnull', False), _connector='OR'), name='odometer_moment_has_order'),
        ),
        migrations.AddConstraint(
            model_name='workitem',
            constraint=models.UniqueConstraint(fields=('order', 'ref'), name='workitem_ref_once'),
        ),
        migrations.AddConstraint(
            model_name='workitem',
            constraint=models.CheckConstraint(condition=models.Q(('ref', ''), _negated=True), name='workitem_has_ref'),
        ),
        migrations.AddConstraint(
            model_name='workitem',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['replace', 'repair', 'clean', 'adjust', 'reset'])), name='work_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='workitem',
            constraint=models.CheckConstraint(condition=models.Q(('reason__in', ['cause', 'maintenance', 'access', 'consequential', 'customer_request'])), name='work_reason_known'),
        ),
        migrations.AddIndex(
            model_name='partfitted',
            index=models.Index(fields=['number', 'batch'], name='part_by_batch'),
        ),
        migrations.AddConstraint(
            model_name='partfitted',
            constraint=models.CheckConstraint(condition=models.Q(('condition__in', ['', 'new', 'used', 'rebuilt', 'reconditioned'])), name='part_condition_known'),
        ),
    ]
