"""What goes wrong, by system: component, how it fails, the finding in words, part price, minutes of work.

Typical of any small shop; prices are invented. Components are written the same way everywhere,
since comebacks and part batches are found by component.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.catalogue import Symptom


@dataclass(frozen=True, slots=True)
class Fault:
    """One way in which one component fails, and what it takes to put right."""

    component: str
    mode: str
    statement: str
    pounds: int
    minutes: int
    kind: str = "replace"
    safety: bool = False


FAULTS: dict[str, tuple[Fault, ...]] = {
    "cooling": (
        Fault("coolant thermostat", "stuck open", "The thermostat opens too early and stays open.", 38, 70),
        Fault("water pump", "leaks at the shaft", "The pump weeps at its shaft seal when hot.", 94, 150),
        Fault("radiator", "leaks", "The radiator seeps at the lower left seam under pressure.", 148, 110),
        Fault("radiator fan motor", "worn brushes", "The fan motor sticks until it is knocked.", 122, 80),
        Fault("coolant hose, upper", "perished", "The upper hose has a split by its clip.", 24, 40),
        Fault("expansion cap", "does not hold pressure", "The cap lets go far below its rating.", 14, 15),
    ),
    "hvac": (
        Fault("blower resistor", "open circuit", "Two of four blower speeds have no path.", 36, 45),
        Fault("blower motor", "worn brushes", "The blower draws too much and squeals.", 98, 75),
        Fault("air-conditioning condenser", "leaks", "Stones have opened the condenser.", 176, 140),
        Fault("blend flap actuator", "stripped gear", "The flap actuator turns without moving it.", 64, 95),
        Fault("heater core", "blocked", "Hardly any flow passes the heater core.", 118, 240),
        Fault(
            "evaporator drain", "blocked", "The drain is blocked, water stands in the box.", 0, 40, "clean"
        ),
        Fault("compressor clutch", "gap too wide", "The clutch lets go when it is hot.", 86, 110),
        Fault("condenser fan", "stage missing", "The fan has lost its second stage.", 112, 85),
    ),
    "engine_mechanical": (
        Fault("auxiliary belt tensioner", "worn bearing", "The tensioner pulley rumbles.", 58, 55),
        Fault("rocker cover gasket", "leaks", "Oil runs from the rocker cover on the exhaust.", 29, 65),
        Fault("engine mount, right", "torn", "The right mount is torn through its rubber.", 76, 70),
        Fault(
            "inlet valve, cylinder 3", "does not seal", "Cylinder 3 loses pressure past a valve.", 240, 420
        ),
        Fault("timing chain tensioner", "slack", "The chain rattles until pressure builds.", 130, 300),
        Fault("valve stem seals", "hardened", "The stem seals are hard and pass oil.", 46, 360),
        Fault("hydraulic tappet, cylinder 2", "slow to fill", "A tappet takes minutes to fill.", 28, 210),
    ),
    "charging": (
        Fault("alternator", "worn brushes", "The alternator gives up when its load rises.", 212, 85),
        Fault("charge cable", "high resistance", "The charge cable drops voltage at its crimp.", 42, 60),
        Fault("alternator pulley clutch", "slips", "The pulley clutch slips under load.", 68, 60),
        Fault("engine ground strap", "corroded", "The ground strap is green under its lug.", 18, 35),
        Fault("auxiliary belt", "glazed", "The belt is glazed and slips.", 27, 35),
        Fault(
            "voltage regulator", "regulates high", "The regulator lets the voltage rise with speed.", 74, 70
        ),
        Fault("charging lamp wire", "broken", "The wire is broken inside its boot.", 6, 55, "repair"),
    ),
    "battery": (
        Fault("battery", "low capacity", "The battery fails its load test when charged.", 106, 20),
        Fault("battery terminal clamp", "loose", "The clamp turns on its post.", 12, 20),
        Fault("glovebox lamp switch", "stuck closed", "The glovebox lamp never goes out.", 14, 30),
        Fault("radio", "does not sleep", "The radio keeps drawing after the car is locked.", 0, 40, "repair"),
        Fault("boot lamp switch", "stuck closed", "The boot lamp stays on with the lid shut.", 11, 30),
    ),
    "starting": (
        Fault("starter motor", "worn contacts", "The starter clicks and does not always engage.", 164, 95),
        Fault("starter cable", "high resistance", "The starter cable drops voltage at its eye.", 46, 60),
        Fault("starter relay", "burnt contacts", "The relay drops voltage when closed.", 16, 25),
        Fault("clutch pedal switch", "intermittent", "The pedal switch does not always make.", 22, 30),
        Fault("starter pinion", "worn teeth", "The pinion slips out of the ring gear.", 96, 110),
    ),
    "fuel": (
        Fault("fuel pump", "worn", "Pressure falls away as the demand rises.", 158, 110),
        Fault("fuel filter", "blocked", "The filter passes far too little.", 26, 40),
        Fault("injector, cylinder 2", "dribbles", "Injector 2 drips with the pump running.", 88, 75),
        Fault("filler cap seal", "perished", "The cap's seal is cracked.", 9, 10),
        Fault(
            "fuel hose at tank", "cracked", "The hose at the tank is cracked and damp.", 21, 60, safety=True
        ),
        Fault("fuel pump relay", "burnt contacts", "The relay drops out when it is warm.", 14, 25),
        Fault(
            "fuel pressure regulator", "leaks back", "Pressure falls away within minutes of stopping.", 42, 50
        ),
    ),
    "ignition": (
        Fault("ignition coil, cylinder 1", "breaks down hot", "Coil 1 breaks down when hot.", 44, 30),
        Fault("ignition coil, cylinder 3", "breaks down hot", "Coil 3 breaks down when hot.", 44, 30),
        Fault("spark plugs", "worn gap", "The plugs' gaps are nearly twice what they should be.", 34, 40),
        Fault("crankshaft sensor", "drops out hot", "The sensor's signal drops out when hot.", 39, 60),
        Fault("plug connector, coil 2", "loose pin", "A pin in the coil plug has no grip.", 8, 45, "repair"),
    ),
    "intake_air": (
        Fault("air-flow sensor", "reads low", "The sensor reads low over its whole range.", 84, 30),
        Fault("inlet hose", "split", "The hose is split underneath, behind the clip.", 32, 35),
        Fault("throttle body", "dirty", "A ring of soot holds the throttle open.", 0, 45, "clean"),
        Fault("boost hose", "leaks at clamp", "The boost hose lifts off its clamp under load.", 41, 40),
        Fault(
            "throttle pedal sensor", "tracks disagree", "The two tracks of the pedal part company.", 88, 35
        ),
        Fault("idle air hose", "split", "A small hose is split and hisses.", 9, 25),
    ),
    "exhaust": (
        Fault("exhaust flex section", "cracked", "The braid hides a crack that blows when cold.", 72, 80),
        Fault("rear silencer", "rusted through", "The silencer has rusted through at its seam.", 96, 50),
        Fault("exhaust hanger, rear", "broken", "A hanger has let go and the pipe knocks.", 7, 20),
        Fault("manifold gasket", "blows", "Gas escapes at the manifold until it is warm.", 18, 130),
    ),
    "emissions": (
        Fault("oxygen sensor, front", "slow", "The front sensor answers too slowly.", 62, 40),
        Fault(
            "exhaust recirculation valve", "sticks open", "The valve sticks open with soot.", 0, 80, "clean"
        ),
        Fault("purge valve", "does not close", "The purge valve passes air when it is shut.", 37, 35),
        Fault("particle filter sensor hose", "split", "A split hose makes the sensor read wrong.", 11, 35),
        Fault("catalyst", "worn out", "The rear sensor follows the front one.", 310, 95),
    ),
    "lubrication": (
        Fault("oil pressure switch", "leaks", "The switch seeps through its plug.", 17, 25),
        Fault("sump gasket", "leaks", "Oil hangs from the sump's rear edge.", 26, 130),
        Fault("oil filter housing seal", "leaks", "The filter housing seeps at its seal.", 15, 60),
        Fault("oil cooler seal", "leaks", "Oil runs from the cooler's seal.", 19, 100),
        Fault("oil pump pick-up", "sludged", "The pick-up is half closed with sludge.", 0, 180, "clean"),
        Fault("crankcase breather valve", "stuck", "The breather valve draws oil into the inlet.", 32, 50),
    ),
    "brakes_hydraulic": (
        Fault("brake hose, front left", "swells", "The hose swells under the pedal.", 22, 60, safety=True),
        Fault(
            "brake master cylinder",
            "bypasses",
            "The pedal sinks with nothing leaking.",
            118,
            100,
            safety=True,
        ),
        Fault(
            "rear wheel cylinder, left", "leaks", "The cylinder weeps behind its cuff.", 19, 75, safety=True
        ),
        Fault("brake fluid", "too much water", "The fluid's boiling point is too low.", 12, 45, safety=True),
        Fault(
            "servo vacuum hose", "split", "The hose to the servo is split at its end.", 18, 40, safety=True
        ),
        Fault(
            "wheel speed sensor, rear right",
            "open circuit",
            "The sensor is open when it is moved.",
            34,
            45,
            safety=True,
        ),
    ),
    "brakes_friction": (
        Fault("front brake pads", "worn", "The front pads are at their end.", 38, 60, safety=True),
        Fault(
            "front brake discs", "thickness varies", "The front discs vary in thickness.", 84, 80, safety=True
        ),
        Fault("front left caliper slide pin", "seized", "A slide pin is seized.", 14, 60, "clean", True),
        Fault("rear brake shoes", "worn", "The rear shoes are at their end.", 33, 90, safety=True),
        Fault("handbrake cable, right", "sticks", "The right cable does not return.", 36, 80, safety=True),
    ),
    "steering": (
        Fault("track rod end, left", "play", "The left track rod end has play.", 24, 50, safety=True),
        Fault("track rod end, right", "play", "The right track rod end has play.", 24, 50, safety=True),
        Fault("power steering hose", "leaks", "The pressure hose weeps at its crimp.", 66, 90),
        Fault("steering column joint", "stiff", "The lower joint binds twice a turn.", 73, 70, safety=True),
    ),
    "suspension": (
        Fault("anti-roll bar link, left", "play", "The left link knocks in its ball.", 18, 35),
        Fault(
            "front spring, right", "broken", "The right spring has lost its lowest turn.", 47, 95, safety=True
        ),
        Fault("front shock absorber, left", "leaks", "The left shock absorber is wet.", 64, 100),
        Fault(
            "lower arm bush, left", "split", "The rear bush of the left arm is split.", 21, 80, safety=True
        ),
        Fault("top mount, right", "worn bearing", "The top mount creaks when the wheel turns.", 32, 90),
        Fault("ball joint, lower right", "play", "The lower right ball joint has play.", 34, 70, safety=True),
        Fault(
            "wheel bearing, front right",
            "rumbles",
            "The bearing rumbles and is rough by hand.",
            58,
            95,
            safety=True,
        ),
    ),
    "tyres_wheels": (
        Fault("front wheel bearing, left", "rumbles", "The left front bearing rumbles.", 58, 95, safety=True),
        Fault("rear wheel bearing, right", "rumbles", "The right rear bearing rumbles.", 52, 80, safety=True),
        Fault("front tyres", "worn at the edge", "Both front tyres are worn at the inner edge.", 148, 45),
        Fault(
            "wheel balance, front",
            "out of balance",
            "Both front wheels were out of balance.",
            4,
            30,
            "adjust",
        ),
        Fault("tyre valve, rear left", "leaks", "The valve leaks at its base.", 5, 20),
        Fault("tyre, front right", "nail", "A nail sits in the tread.", 18, 30, "repair"),
        Fault("pressure sensor, rear left", "battery flat", "The sensor has stopped sending.", 42, 40),
        Fault("toe setting", "out", "Toe is out after a kerb.", 0, 50, "adjust"),
    ),
    "transmission": (
        Fault("clutch", "slips", "The clutch slips in top gear uphill.", 168, 330),
        Fault("gear linkage bush", "worn", "The linkage bush has gone and the lever floats.", 14, 60),
        Fault("gearbox fluid", "low", "The fluid is low; the shaft seal weeps.", 46, 70),
        Fault("clutch slave cylinder", "leaks", "The slave cylinder loses fluid.", 52, 110),
        Fault("shift solenoid", "sticks", "A solenoid sticks when it is hot.", 58, 130),
        Fault("clutch hydraulics", "air", "There is air in the clutch line.", 6, 40, "adjust"),
    ),
    "driveline": (
        Fault("drive shaft joint, outer left", "worn", "The outer joint clicks on full lock.", 62, 95),
        Fault("drive shaft boot, inner right", "split", "The boot is split and the grease is out.", 16, 90),
        Fault("propeller shaft bearing", "worn", "The centre bearing drones from 45 mph.", 74, 110),
        Fault("rear axle seal", "leaks", "The axle seal weeps onto the brake.", 15, 100),
        Fault("rear axle bearing", "pitted", "The bearing is pitted and whines on load.", 88, 210),
        Fault("gearbox mount", "torn", "The mount lets the drive train jump.", 52, 60),
    ),
    "body_water": (
        Fault("scuttle drain", "blocked", "Leaves block the scuttle's drain.", 0, 35, "clean"),
        Fault("rear lamp seal, left", "leaks", "Water runs past the left lamp's seal.", 12, 40),
        Fault("door membrane, front right", "lifted", "The door's membrane has come away.", 10, 70, "repair"),
        Fault("tailgate seal", "flattened", "The seal is flat along the bottom.", 44, 45),
        Fault("sunroof drain, front left", "blocked", "The drain is blocked and overflows.", 0, 45, "clean"),
    ),
    "body_closures": (
        Fault("door latch, front left", "sticks", "The latch's pawl sticks half way.", 68, 70),
        Fault("window regulator, front right", "cable off", "The regulator's cable is off its drum.", 74, 90),
        Fault("tailgate strut", "weak", "The struts no longer carry the tailgate.", 34, 20),
        Fault("bonnet cable", "stretched", "The bonnet cable no longer releases the catch.", 19, 60),
        Fault(
            "lock actuator, rear left", "worn motor", "The actuator turns without moving the lock.", 54, 60
        ),
        Fault("door card clips, front left", "broken", "Three clips of the door card are broken.", 4, 35),
        Fault("door striker, front left", "out of place", "The striker sits too far in.", 0, 25, "adjust"),
    ),
    "body_electrical": (
        Fault("wiper motor", "worn", "The wiper motor stops when it is warm.", 88, 65),
        Fault("window switch, driver", "burnt contacts", "The switch only works one way.", 31, 25),
        Fault(
            "tailgate wiring at hinge", "broken wires", "Wires are broken in the hinge boot.", 9, 80, "repair"
        ),
        Fault("horn contact ring", "open circuit", "The contact ring loses its path in one place.", 56, 70),
        Fault("rear screen heater feed", "open circuit", "The tab has come off the glass.", 6, 30, "repair"),
        Fault("wiper linkage", "stiff", "The linkage binds on its dry spindles.", 0, 50, "clean"),
        Fault("socket wiring", "chafed", "The wire is chafed through behind the socket.", 3, 55, "repair"),
        Fault("comfort relay", "burnt contacts", "The relay works when it is tapped.", 17, 20),
    ),
    "lighting": (
        Fault(
            "headlamp bulb, left", "open circuit", "The left dipped beam has burnt out.", 9, 15, safety=True
        ),
        Fault("rear lamp ground", "corroded", "The rear lamp's ground is green.", 4, 35, "repair"),
        Fault("brake lamp switch", "intermittent", "The switch does not always close.", 16, 20, safety=True),
        Fault("headlamp, right", "water inside", "The right lamp fills with water.", 132, 50),
        Fault("headlamp plug, left", "melted", "The plug is melted and drops voltage.", 11, 40),
        Fault("trailer socket", "corroded", "Three of the socket's pins are green.", 15, 45),
    ),
    "network": (
        Fault(
            "bus plug, left sill", "corroded pins", "Two pins in the sill plug are green.", 7, 90, "repair"
        ),
        Fault("door control unit, front left", "drops off the bus", "The unit loses its feed.", 148, 60),
        Fault(
            "body control unit feed",
            "poor contact",
            "The fuse holder for its feed has no grip.",
            12,
            50,
            "repair",
        ),
        Fault(
            "bus wire at tailgate hinge",
            "broken strands",
            "Strands are broken where the hinge bends.",
            5,
            85,
            "repair",
        ),
        Fault(
            "diagnostic connector, pin 16",
            "spread",
            "The pin is spread and loses its supply.",
            6,
            35,
            "repair",
        ),
    ),
    "restraint": (
        Fault(
            "seat plug, driver",
            "poor contact",
            "The plug under the driver's seat is loose.",
            6,
            45,
            "repair",
            True,
        ),
        Fault(
            "seat mat, passenger",
            "open circuit",
            "The mat under the passenger's seat is open.",
            112,
            110,
            safety=True,
        ),
        Fault(
            "belt buckle switch, driver",
            "intermittent",
            "The buckle's switch comes and goes.",
            48,
            50,
            safety=True,
        ),
        Fault(
            "belt reel, driver",
            "frayed",
            "The reel winds slowly, the webbing is frayed.",
            118,
            60,
            safety=True,
        ),
    ),
}

FITS: dict[str, tuple[str, ...]] = {
    "battery_smell_or_swelling": ("battery", "battery terminal clamp"),
    "battery_weak_in_cold": ("battery", "battery terminal clamp"),
    "flat_after_standing": ("battery", "glovebox lamp switch", "radio", "boot lamp switch"),
    "lock_fails": ("lock actuator, rear left", "door latch, front left"),
    "door_does_not_close": ("door striker, front left", "door latch, front left"),
    "window_stuck": ("window regulator, front right",),
    "body_rattle": ("door card clips, front left", "window regulator, front right"),
    "fuse_blows": ("socket wiring", "tailgate wiring at hinge"),
    "function_dead": ("window switch, driver", "rear screen heater feed", "comfort relay"),
    "function_intermittent": ("tailgate wiring at hinge", "comfort relay", "window switch, driver"),
    "wipers_slow": ("wiper motor", "wiper linkage"),
    "horn_or_socket_dead": ("horn contact ring", "socket wiring"),
    "floor_wet": ("scuttle drain", "door membrane, front right", "sunroof drain, front left"),
    "boot_wet": ("rear lamp seal, left", "tailgate seal"),
    "windows_mist": ("door membrane, front right", "scuttle drain"),
    "headlining_stain": ("sunroof drain, front left",),
    "brake_pulsation": ("front brake discs", "front left caliper slide pin"),
    "brake_noise_squeal": ("front brake pads", "front left caliper slide pin"),
    "brake_noise_grind": ("front brake pads", "front brake discs"),
    "brake_pull": ("front left caliper slide pin", "front brake pads"),
    "brake_drag": ("front left caliper slide pin", "handbrake cable, right"),
    "parking_brake_weak": ("handbrake cable, right", "rear brake shoes"),
    "pedal_soft": ("brake hose, front left", "brake fluid", "rear wheel cylinder, left"),
    "pedal_sinks": ("brake master cylinder",),
    "pedal_hard": ("servo vacuum hose",),
    "brake_fluid_loss": ("rear wheel cylinder, left", "brake hose, front left"),
    "wheel_slip_warning": ("wheel speed sensor, rear right",),
    "charge_lamp_idle_load": ("alternator", "charge cable", "engine ground strap", "auxiliary belt"),
    "charge_lamp_constant": ("alternator", "charging lamp wire", "auxiliary belt"),
    "overcharging": ("voltage regulator", "engine ground strap"),
    "drive_belt_squeal": ("auxiliary belt", "alternator pulley clutch"),
    "overheats_in_traffic": ("radiator fan motor", "radiator", "coolant thermostat"),
    "overheats_on_hills": ("radiator", "water pump", "coolant thermostat"),
    "coolant_loss": ("water pump", "radiator", "coolant hose, upper", "expansion cap"),
    "runs_too_cold": ("coolant thermostat",),
    "click_when_turning": ("drive shaft joint, outer left", "drive shaft boot, inner right"),
    "shudder_pulling_away": ("propeller shaft bearing", "drive shaft joint, outer left"),
    "axle_whine": ("rear axle bearing", "rear axle seal"),
    "clunk_on_drive": ("gearbox mount", "propeller shaft bearing"),
    "emission_test_failed": ("catalyst", "oxygen sensor, front"),
    "particle_filter_full": ("particle filter sensor hose", "exhaust recirculation valve"),
    "engine_knock": ("timing chain tensioner", "auxiliary belt tensioner"),
    "engine_tick": ("hydraulic tappet, cylinder 2", "timing chain tensioner"),
    "uneven_cranking": ("inlet valve, cylinder 3",),
    "engine_shakes_vehicle": ("engine mount, right",),
    "blue_smoke": ("valve stem seals",),
    "exhaust_loud": ("exhaust flex section", "rear silencer", "manifold gasket"),
    "exhaust_smell_inside": ("exhaust flex section", "manifold gasket"),
    "exhaust_rattle": ("exhaust hanger, rear", "rear silencer"),
    "long_crank_after_standing": ("fuel pressure regulator", "injector, cylinder 2"),
    "no_start_no_fuel": ("fuel pump", "fuel pump relay"),
    "lacks_power": ("fuel filter", "fuel pump"),
    "fuel_smell": ("filler cap seal", "fuel hose at tank"),
    "runs_rich": ("injector, cylinder 2", "fuel pressure regulator"),
    "ac_warm_in_traffic": ("condenser fan", "air-conditioning condenser", "compressor clutch"),
    "ac_never_cold": ("air-conditioning condenser", "compressor clutch"),
    "heater_cold": ("heater core", "blend flap actuator"),
    "blower_dead_or_speeds": ("blower resistor", "blower motor"),
    "cabin_smell": ("evaporator drain",),
    "misfire_wet": ("spark plugs", "ignition coil, cylinder 1", "ignition coil, cylinder 3"),
    "misfire_under_load": ("spark plugs", "ignition coil, cylinder 1", "ignition coil, cylinder 3"),
    "misfire_idle": ("ignition coil, cylinder 1", "ignition coil, cylinder 3", "plug connector, coil 2"),
    "no_spark": ("crankshaft sensor", "plug connector, coil 2"),
    "idle_hunts": ("throttle body", "idle air hose"),
    "hesitates": ("air-flow sensor", "inlet hose", "throttle pedal sensor"),
    "boost_missing": ("boost hose", "inlet hose"),
    "reduced_power_message": ("throttle pedal sensor",),
    "lamp_dim": ("headlamp plug, left", "headlamp, right"),
    "lamp_dead": ("headlamp bulb, left", "headlamp plug, left"),
    "bulbs_short_lived": ("headlamp plug, left", "headlamp, right"),
    "lamps_mixed_up": ("rear lamp ground",),
    "trailer_lights": ("trailer socket", "rear lamp ground"),
    "oil_lamp": ("oil pressure switch", "oil pump pick-up"),
    "oil_leak": ("sump gasket", "oil filter housing seal", "oil cooler seal", "oil pressure switch"),
    "oil_consumption_high": ("crankcase breather valve", "oil cooler seal"),
    "network_faults_many": ("bus plug, left sill", "bus wire at tailgate hinge"),
    "unit_silent": ("body control unit feed", "bus plug, left sill"),
    "no_communication": ("diagnostic connector, pin 16",),
    "single_wire_bus_fault": ("door control unit, front left", "bus wire at tailgate hinge"),
    "restraint_lamp": ("seat plug, driver", "belt buckle switch, driver"),
    "belt_problem": ("belt reel, driver",),
    "seat_sensing_wrong": ("seat mat, passenger",),
    "cranks_slowly": ("starter cable", "starter motor"),
    "no_crank_click": ("starter motor", "starter cable"),
    "no_crank_silent": ("starter relay", "clutch pedal switch"),
    "starter_noise": ("starter pinion",),
    "steering_play": ("track rod end, left", "track rod end, right"),
    "steering_heavy": ("steering column joint", "power steering hose"),
    "steering_off_centre": ("track rod end, left", "track rod end, right"),
    "steering_noise": ("power steering hose", "steering column joint"),
    "knock_over_bumps": ("anti-roll bar link, left", "lower arm bush, left", "ball joint, lower right"),
    "wheel_hum": ("wheel bearing, front right",),
    "bounces": ("front shock absorber, left",),
    "sits_low": ("front spring, right",),
    "harsh_or_late_shift": ("shift solenoid", "gearbox fluid"),
    "transmission_slips": ("gearbox fluid", "shift solenoid"),
    "clutch_slips": ("clutch",),
    "gear_hard_to_engage": ("clutch hydraulics", "clutch slave cylinder", "gear linkage bush"),
    "wheel_vibration": ("wheel balance, front", "front tyres"),
    "tyre_loses_air": ("tyre valve, rear left", "tyre, front right"),
    "tyre_wear_uneven": ("toe setting", "front tyres"),
    "pressure_warning": ("pressure sensor, rear left", "tyre, front right"),
}
"""Components that can cause a symptom, where not every fault of its system can."""


def faults_of(symptom: Symptom) -> list[Fault]:
    """Return the faults that can be behind a symptom, one at least."""
    all_of_system = FAULTS[symptom.system]
    fitting = FITS.get(symptom.code, ())
    return [fault for fault in all_of_system if not fitting or fault.component in fitting]
