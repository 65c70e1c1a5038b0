//! How it is said in a workshop of vehicles besides the van.

use super::*;

#[test]
fn the_saloon_in_a_workshops_words() {
    check_on(
        "sedan",
        &[
            ("volts motor 31b", "volts motor.31b battery.neg"),
            ("drop motor 31 to battery neg", "volts motor.31 battery.neg"),
            ("conclude switch ground open", "conclude switch-ground.open"),
            ("conclude guide pivot stiff", "conclude right-guide.stiff"),
            ("remove the column cover", "remove column-cover"),
            ("take off the kick panel", "remove kick-panel"),
        ],
    );
}

/// What is the same on both buses.
const COMPOUND: &[(&str, &str)] = &[
    (
        "conclude shunt field open",
        "conclude motor.shunt-field-open",
    ),
    (
        "conclude open shunt field",
        "conclude motor.shunt-field-open",
    ),
    (
        "conclude shunt winding open",
        "conclude motor.shunt-field-open",
    ),
    (
        "conclude series field shorted",
        "conclude motor.series-field-shorted",
    ),
    (
        "conclude shorted series field",
        "conclude motor.series-field-shorted",
    ),
    ("conclude brush a1 worn", "conclude motor.a1-brush-worn"),
    ("volts motor d1", "volts motor.d1 battery.neg"),
    ("ohms shunt field", "ohms motor.e1 motor.e2"),
    ("ohms motor d1 e1", "ohms motor.d1 motor.e1"),
    ("volts across the shunt field", "volts motor.e1 motor.e2"),
    ("lamps on", "set saloon-lamps on"),
    ("turn on the saloon lamps", "set saloon-lamps on"),
    ("look at eccentric", "look-at eccentric"),
    ("free the eccentric", "repair eccentric free"),
    ("unplug motor plug", "unplug motor-connector"),
    ("repair battery-ground", "repair battery-ground mend"),
    ("clean battery ground", "repair battery-ground mend"),
    ("clean battery ground post", "repair battery mend"),
];

#[test]
fn the_bus_with_a_compound_motor_in_a_workshops_words() {
    check_on("bus", COMPOUND);
    check_on(
        "bus",
        &[
            ("wiper medium", "set wiper-switch med"),
            ("medium", "set wiper-switch med"),
            ("wipers med", "set wiper-switch med"),
        ],
    );
}

#[test]
fn the_bus_with_a_rheostat_in_a_workshops_words() {
    check_on("rheostat", COMPOUND);
    check_on(
        "rheostat",
        &[
            (
                "conclude rheostat worn",
                "conclude wiper-switch.slider-worn",
            ),
            ("conclude worn slider", "conclude wiper-switch.slider-worn"),
            (
                "conclude track 1 open",
                "conclude wiper-switch.track-1-open",
            ),
            (
                "conclude dead spot at two",
                "conclude wiper-switch.stop-two-dead",
            ),
            ("wiper two", "set wiper-switch two"),
            ("wiper 2", "set wiper-switch two"),
            ("rheostat to three", "set wiper-switch three"),
            ("turn the rheostat to four", "set wiper-switch four"),
            ("look at the rheostat", "look-at wiper-switch"),
            ("swap the rheostat", "substitute wiper-switch"),
        ],
    );
}

#[test]
fn the_hatchback_with_relays_in_a_workshops_words() {
    check_on(
        "hatch",
        &[
            ("drop motor plug 53", "volts motor-plug.53 motor.53"),
            ("volts k1 30", "volts k1-relay.30 battery.neg"),
            ("volts k1 86", "volts k1-relay.86 battery.neg"),
            ("volts k1 relay 87a", "volts k1-relay.87a battery.neg"),
            ("volts k1 socket 87", "volts k1-socket.87 battery.neg"),
            (
                "volts relay k2 terminal 85",
                "volts k2-relay.85 battery.neg",
            ),
            ("volts k2-relay.87", "volts k2-relay.87 battery.neg"),
            (
                "volts between k1 86 and 85",
                "volts k1-relay.86 k1-relay.85",
            ),
            ("ohms k1 coil", "ohms k1-relay.86 k1-relay.85"),
            ("ohms k1 86 85", "ohms k1-relay.86 k1-relay.85"),
            ("ohms relay k1 coil", "ohms k1-relay.86 k1-relay.85"),
            ("continuity k1 30 87", "continuity k1-relay.30 k1-relay.87"),
            ("drop k1 87", "volts k1-relay.30 k1-relay.87"),
            ("drop k1 relay 30 87", "volts k1-relay.30 k1-relay.87"),
            ("bridge k1 30 and 87", "jumper k1-relay.30 k1-relay.87"),
            (
                "jumper k1 socket 30 to 87",
                "jumper k1-socket.30 k1-socket.87",
            ),
            ("unplug relay k1", "unplug k1-socket"),
            ("pull out relay k2", "unplug k2-socket"),
            ("remove k1 relay", "unplug k1-socket"),
            ("unplug k1", "unplug k1-socket"),
            ("plug k1 back in", "plug k1-socket"),
            ("swap k1", "substitute k1-relay"),
            ("swap relay k1", "substitute k1-relay"),
            ("swap the interval unit", "substitute interval-unit"),
            ("swap fuse", "substitute wiper-fuse"),
            ("replace fuse", "repair wiper-fuse replace"),
            ("look at the fuse", "look-at wiper-fuse"),
            ("look at wiper fuse", "look-at wiper-fuse"),
            (
                "volts across the fuse",
                "volts wiper-fuse.in wiper-fuse.out",
            ),
            ("drop wiper fuse", "volts wiper-fuse.in wiper-fuse.out"),
            ("feel relay k1", "feel k1-relay"),
            ("listen to the relay", "listen"),
            ("listen for relay clicks", "listen"),
            ("wipers on interval", "set wiper-switch interval"),
            ("interval", "set wiper-switch interval"),
            ("wiper intermittent", "set wiper-switch interval"),
            ("washer on", "set washer-switch on"),
            ("wash", "set washer-switch on"),
            ("wash the screen", "set washer-switch on"),
            ("squirt", "set washer-switch on"),
            ("run the washer", "set washer-switch on"),
            ("volts pump 53c", "volts pump.53c battery.neg"),
            (
                "volts interval unit 53c",
                "volts interval-unit.53c battery.neg",
            ),
            ("volts interval unit i", "volts interval-unit.i battery.neg"),
            (
                "volts interval relay out",
                "volts interval-unit.out battery.neg",
            ),
            ("ohms washer pump", "ohms pump.53c pump.31"),
            ("look at pump", "look-at pump"),
            ("listen to the pump", "listen"),
            ("look at the jets", "look-at hose"),
            ("conclude k1 coil open", "conclude k1-relay.coil-open"),
            ("conclude k1 stuck", "conclude k1-relay.87-welded"),
            ("conclude relay k1 welded", "conclude k1-relay.87-welded"),
            ("conclude k1 contact welded", "conclude k1-relay.87-welded"),
            (
                "conclude k2 87 high resistance",
                "conclude k2-relay.87-high-resistance",
            ),
            ("conclude fuse blown", "conclude wiper-fuse.blown"),
            ("conclude blown fuse", "conclude wiper-fuse.blown"),
            ("conclude fuse too small", "conclude wiper-fuse.too-small"),
            (
                "conclude fuse clips corroded",
                "conclude wiper-fuse.clips-high-resistance",
            ),
            ("conclude diode shorted", "conclude k1-diode.shorted"),
            (
                "conclude diode backwards",
                "conclude k1-diode.wrong-way-round",
            ),
            ("conclude suppressor diode open", "conclude k1-diode.open"),
            (
                "conclude diode the wrong way round",
                "conclude k1-diode.wrong-way-round",
            ),
            ("conclude pump dead", "conclude pump.open"),
            ("conclude washer pump burnt out", "conclude pump.open"),
            ("conclude weak pump", "conclude pump.worn"),
            ("conclude worn pump", "conclude pump.worn"),
            ("conclude blocked jets", "conclude hose.blocked"),
            ("conclude hose leaks", "conclude hose.leaks"),
            ("conclude leaking hose", "conclude hose.leaks"),
            ("conclude hose blocked", "conclude hose.blocked"),
            ("conclude timer slow", "conclude interval-unit.timer-slow"),
            (
                "conclude interval unit too fast",
                "conclude interval-unit.timer-fast",
            ),
            (
                "conclude interval unit stuck on",
                "conclude interval-unit.output-stuck-closed",
            ),
            ("conclude cutout weak", "conclude cut-out.weak"),
            ("conclude cut-out weak", "conclude cut-out.weak"),
            ("conclude thermal switch open", "conclude cut-out.open"),
            (
                "conclude washer switch open",
                "conclude washer-switch.53c-open",
            ),
            (
                "conclude pin 87 loose in the socket of k1",
                "conclude k1-socket.87-loose",
            ),
            ("conclude k1 socket 87 loose", "conclude k1-socket.87-loose"),
            ("replace k1", "repair k1-relay replace"),
            ("fit a new relay k2", "repair k2-relay replace"),
            ("replace the pump", "repair pump replace"),
            ("unblock the jets", "repair hose mend"),
            ("clean the jets", "repair hose mend"),
            ("repair hose", "repair hose mend"),
            ("open the relay box", "remove box-lid"),
            ("go to the relay box", "go relay-box"),
            ("remove the lid of the relay box", "remove box-lid"),
            ("open box", "remove box-lid"),
            ("remove the shroud", "remove column-shroud"),
        ],
    );
}
