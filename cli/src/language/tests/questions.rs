//! What is asked about, with choices, before any time is spent.

use super::*;

/// A line, some of the question, a suggestion.
type Asked = (&'static str, &'static str, &'static str);

#[test]
fn what_could_be_several_things_is_asked_about_and_takes_no_time() {
    let asked: [(&str, &[Asked]); 5] = [
        (
            "van",
            &[
                (
                    "wiggle the loom",
                    "Of the wiring, one plug, one part or one wire at a time: bulkhead or",
                    "wiggle the bulkhead",
                ),
                (
                    "tap the motor",
                    "Nothing here answers to a tap; a part is shaken with the wires on it,",
                    "wiggle the motor",
                ),
                (
                    "turn on the wipers",
                    "The wiper goes to off, low or high.",
                    "wiper off",
                ),
                (
                    "check fusible link",
                    "Say how to check fusible-link: `look fusible-link`, `drop",
                    "look fusible-link",
                ),
                (
                    "conclude motor burnt out",
                    "`motor burnt out` could be motor coil-open or motor coil-shorted.",
                    "conclude motor coil-open",
                ),
                (
                    "clamp jumper",
                    "The clamp goes round the vehicle's wires and straps; what a jumper",
                    "help amps",
                ),
                (
                    "look under the dash",
                    "One part is looked at at a time; there, under the dash: motor-plug,",
                    "look motor-plug",
                ),
                (
                    "helper ammeter",
                    "The helper only works controls, as in `helper wiper low`; `ammeter`",
                    "ammeter",
                ),
                (
                    "hint",
                    "A hint needs more: where 1.0 min, what 2.0 min, which 4.0 min or why",
                    "hint where",
                ),
                ("hint how", "There is no hint `how`.", "hint which"),
                ("hint where what", "One hint at a time.", "hint what"),
                (
                    "stuck",
                    "The technician gives hints for their minutes, and the book",
                    "hint where",
                ),
                (
                    "suspect wiring",
                    "A suspicion needs more: regions, each with its chance",
                    "suspect wiring 60 motor 30",
                ),
                (
                    "suspect wiring 60 motor",
                    "The last region has no chance",
                    "",
                ),
                ("suspect wiring 60 motor 50", "more than 100 together", ""),
                (
                    "suspect wiring 60 wiring 10",
                    "`wiring` is there twice.",
                    "",
                ),
                ("suspect 60 wiring", "A chance comes behind its region.", ""),
                (
                    "suspect glass 20",
                    "`glass` is no region; there are supply",
                    "",
                ),
                (
                    "substitute motor",
                    "The workshop has no known good motor to try. A motor is proven where",
                    "data in-place tests",
                ),
                (
                    "swap motor",
                    "The workshop has no known good motor to try. A motor is proven where",
                    "data in-place tests",
                ),
                (
                    "drop across the wiper switch",
                    "A drop over which part of wiper-switch: drop wiper-switch low, drop",
                    "drop wiper-switch low",
                ),
                (
                    "voltage drop on the ground side",
                    "A drop is between two points; of that side it is `drop battery neg",
                    "drop battery neg motor 31",
                ),
                (
                    "is it hot in there",
                    "The vehicle answers what is checked: `help` shows the commands,",
                    "help",
                ),
                (
                    "switch off",
                    "What is to be worked: key off, engine off, wiper off, horn off,",
                    "key off",
                ),
                (
                    "start",
                    "What is to be worked: key on, engine on, horn on, blower on or radio on?",
                    "key on",
                ),
                (
                    "inspect the wiring",
                    "Of the wiring, one plug, one part or one wire at a time: bulkhead or",
                    "inspect the bulkhead",
                ),
                (
                    "pull motor plug",
                    "To take it apart, `unplug motor-plug`; to pull at one terminal, name",
                    "unplug motor-plug",
                ),
                (
                    "let it cool",
                    "Parts cool, and breakers close, while time goes by.",
                    "wait 2 min",
                ),
                (
                    "conclude brushes worn",
                    "`brushes worn` could be motor low-brush-worn, motor high-brush-worn",
                    "conclude motor low-brush-worn",
                ),
                (
                    "conclude bad ground",
                    "`bad ground` could be motor-strap high-resistance, cowl-ground high-resistance",
                    "conclude cowl-ground high-resistance",
                ),
                (
                    "conclude high resistance",
                    "`high resistance` is a failure of many parts: name the part as well.",
                    "conclude battery-link high-resistance",
                ),
                (
                    "conclude stiff linkage",
                    "What of linkage and what it runs in: left-pivot",
                    "conclude left-pivot stiff",
                ),
                (
                    "conclude wiper switch low contact burnt",
                    "`wiper switch low contact burnt` could be wiper-switch low-open or",
                    "conclude wiper-switch low-open",
                ),
                (
                    "conclude water in the motor plug",
                    "`water in the motor plug` could be motor-plug 53-leaks-wet,",
                    "conclude motor-plug 53-leaks-wet",
                ),
                (
                    "its the brushes",
                    "`brushes` could be motor low-brush-worn, motor",
                    "its the motor low-brush-worn",
                ),
                (
                    "motor plug 53 open",
                    "Say what to do with that, as in `conclude motor-plug 53-open`.",
                    "conclude motor-plug 53-open",
                ),
                (
                    "no fault found",
                    "No fault found; what was it instead: battery flat, left-arm",
                    "conclude battery flat",
                ),
                (
                    "nff",
                    "No fault found; what was it instead: battery flat, left-arm",
                    "conclude battery flat",
                ),
                (
                    "clean the ground",
                    "`ground` could be motor-strap, cowl-ground, front-ground, battery-strap",
                    "repair cowl-ground",
                ),
                (
                    "tighten cowl ground",
                    "A ground's screw is seen to as a whole, cleaned and tightened:",
                    "repair cowl-ground",
                ),
                (
                    "grease pivots",
                    "`pivots` could be left-pivot or right-pivot.",
                    "repair left-pivot free",
                ),
                (
                    "move the arm",
                    "`arm` could be left-arm or right-arm.",
                    "move the left-arm",
                ),
                (
                    "put panel back",
                    "`panel` could be dash-panel or switch-panel.",
                    "put dash-panel back",
                ),
                (
                    "volts mottor 53",
                    "There is no `mottor` to probe; did you mean motor or motor-plug?",
                    "volts motor 53",
                ),
                (
                    "vlots motor 53",
                    "`vlots` is no command here; did you mean volts?",
                    "volts motor 53",
                ),
                (
                    "wipper low",
                    "`wipper` is no command here; did you mean wiper?",
                    "wiper low",
                ),
                (
                    "conclde motor coil open",
                    "`conclde` is no command here; did you mean conclude?",
                    "conclude motor coil open",
                ),
                (
                    "conclude moter coil open",
                    "There is no component `moter`; did you mean motor, motor-53 or motor-53a?",
                    "conclude motor coil open",
                ),
                (
                    "unplg motor plug",
                    "`unplg` is no command here; did you mean unplug?",
                    "unplug motor plug",
                ),
                (
                    "jumpr motor 53 bat+",
                    "`jumpr` is no command here; did you mean jumper or jump?",
                    "jumper motor 53 bat+",
                ),
                (
                    "try another switch",
                    "`switch` could be ignition-switch or wiper-switch.",
                    "try another ignition-switch",
                ),
                (
                    "look behind the switch panel",
                    "One part is looked at at a time; there, cab: ammeter,",
                    "look ammeter",
                ),
                (
                    "what can i do",
                    "The vehicle answers what is checked: `help` shows the commands,",
                    "help",
                ),
                (
                    "feed motor 53 directly",
                    "A part is fed by fused leads: `jumper` and two points, the motor's",
                    "help jumper",
                ),
                (
                    "wait until it stops",
                    "A wait is a number of seconds or minutes: `wait 20 s`, `wait 2 min`.",
                    "wait 20 s",
                ),
            ],
        ),
        (
            "hatch",
            &[
                (
                    "check voltage at the switch",
                    "`switch` could be ignition-switch, wiper-switch or washer-switch.",
                    "",
                ),
                (
                    "volts relay 30",
                    "`relay 30` could be k1-relay 30 or k2-relay 30.",
                    "volts k1-relay 30",
                ),
                (
                    "swap relays",
                    "`relays` could be k1-relay or k2-relay.",
                    "swap k1-relay",
                ),
                (
                    "change the fuse",
                    "Which fuse: the meter's, by `new fuse`, or `repair wiper-fuse replace`?",
                    "repair wiper-fuse replace",
                ),
                (
                    "replace relay",
                    "`relay` could be k1-relay or k2-relay.",
                    "repair k1-relay",
                ),
                (
                    "conclude coil open",
                    "`coil open` could be k1-relay coil-open, k2-relay coil-open or motor",
                    "conclude k1-relay coil-open",
                ),
                (
                    "conclude relay coil open",
                    "`relay coil open` could be k1-relay coil-open or k2-relay coil-open.",
                    "conclude k1-relay coil-open",
                ),
                (
                    "conclude wrong fuse",
                    "`wrong fuse` could be wiper-fuse too-small or wiper-fuse too-large.",
                    "conclude wiper-fuse too-small",
                ),
                (
                    "conclude interval unit dead",
                    "`interval unit dead` could be interval-unit output-open,",
                    "conclude interval-unit output-open",
                ),
                (
                    "conclude splice open",
                    "`splice open` could be coil-splice k1-open, coil-splice k2-open or",
                    "conclude coil-splice k1-open",
                ),
                (
                    "pull k1",
                    "To take it apart, `unplug k1-socket`; to pull at one terminal, name",
                    "unplug k1-socket",
                ),
                (
                    "volts pump",
                    "Which terminal of pump: 53c or 31?",
                    "volts pump 53c",
                ),
                (
                    "volts fuse",
                    "Which terminal of wiper-fuse: in or out?",
                    "volts wiper-fuse in",
                ),
                (
                    "conclude k1 87a burnt",
                    "`k1 87a burnt` could be k1-relay 87a-open or k1-relay 87a-high-resistance.",
                    "conclude k1-relay 87a-open",
                ),
                (
                    "turn on the wipers",
                    "The wiper goes to off, interval, low or high.",
                    "wiper off",
                ),
                (
                    "wiggle the loom",
                    "Of the wiring, one plug, one part or one wire at a time: bulkhead,",
                    "wiggle the bulkhead",
                ),
            ],
        ),
        (
            "bus",
            &[
                (
                    "conclude field open",
                    "`field open` could be motor series-field-open or motor shunt-field-open.",
                    "conclude motor series-field-open",
                ),
                (
                    "conclude field winding burnt out",
                    "`field winding burnt out` could be motor series-field-open, motor",
                    "conclude motor series-field-open",
                ),
                (
                    "conclude resistor open",
                    "`resistor open` could be speed-resistor med-step-open or",
                    "conclude speed-resistor med-step-open",
                ),
                (
                    "drop speed resistor",
                    "A drop over which part of speed-resistor: drop speed-resistor",
                    "drop speed-resistor med-step",
                ),
                (
                    "volts d1",
                    "`d1` of what: wiper-switch d1 or motor d1?",
                    "volts wiper-switch d1",
                ),
                (
                    "turn on the wipers",
                    "The wiper goes to off, low, med or high.",
                    "wiper off",
                ),
                (
                    "look under the dash",
                    "There is no place `under the dash` on this vehicle; there is driver's",
                    "go cab",
                ),
                (
                    "volts motor plug d1",
                    "Which side of motor-connector d1: d1-loom or d1-motor?",
                    "volts motor-connector d1-loom",
                ),
                (
                    "conclude eccentric stuck",
                    "`eccentric stuck` could be eccentric stuck-in or eccentric stuck-out.",
                    "conclude eccentric stuck-in",
                ),
            ],
        ),
        (
            "rheostat",
            &[
                (
                    "conclude rheostat open",
                    "`rheostat open` could be wiper-switch run-open, wiper-switch",
                    "conclude wiper-switch run-open",
                ),
                (
                    "turn on the wipers",
                    "The wiper goes to off, low, two, three, four or high.",
                    "wiper off",
                ),
            ],
        ),
        (
            "sedan",
            &[
                (
                    "volts 31b",
                    "`31b` of what: wiper-switch 31b, motor-plug 31b or motor 31b?",
                    "volts wiper-switch 31b",
                ),
                (
                    "conclude eccentric jammed",
                    "`eccentric jammed` could be eccentric stuck-in or eccentric stuck-out.",
                    "conclude eccentric stuck-in",
                ),
                (
                    "check voltage at the switch",
                    "`switch` could be ignition-switch or wiper-switch.",
                    "",
                ),
                (
                    "conclude ground contact open",
                    "`ground contact open` could be motor-strap open, cowl-ground open, front-ground open",
                    "conclude cowl-ground open",
                ),
            ],
        ),
    ];
    for (vehicle, cases) in asked {
        check_questions(vehicle, cases);
    }
}
