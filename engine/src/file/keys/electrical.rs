//! Keys of what carries current: battery, conductors, connectors, switches, grounds, consumers.

use super::vehicle::{COMPONENT, REGION_WORDS};
use super::{
    Holds, JUDGEMENT, Key, Limits, Naming, Needed, OHMS, PART_CHARS_MAX, PARTS_MAX, PIN_CHARS_MAX,
    RULE, Table, Tables, VOLTS, table,
};

/// The two ends of what has two, and no more.
const ENDS: &str = "`in`, `out`";

/// Two terminals of the component itself.
const TWO_TERMINALS: Holds = Holds::List {
    of: &Holds::Own("a terminal of this component"),
    least: 2,
    most: 2,
};

/// Positions of the switch itself.
const A_POSITION: Holds = Holds::Own("a position of this switch");

table! {
    battery: COMPONENT, {
        name: "battery",
        head: "[battery.ID]",
        says: "The battery: lead-acid cells between two posts, and the cables' clamps on them. A vehicle has one; its \
            clamp `neg` is what voltages are counted from.",
        terminals: "`pos`, `neg` (the clamps, where cables go on), `pos-post`, `neg-post`",
        repairs: &["explain", "charge", "mend", "replace"],
    }
    OPEN_CIRCUIT_V = "open_circuit_v", Holds::Number(VOLTS), Needed::Always,
        "Volts of the full battery at rest, with nothing on; the number of its cells follows from it, at 2.1 V each.",
        "[TM 5-3805-262-20] p. 5-142";
    INTERNAL_RESISTANCE_OHM = "internal_resistance_ohm", Holds::Number(OHMS), Needed::Always,
        "Resistance of the cells between the posts; 0.0001 ohm of each clamp comes on top.", JUDGEMENT;
}

table! {
    wire: COMPONENT, {
        name: "wire",
        head: "[wire.ID]",
        says: "An insulated wire of copper from one terminal to another. Its resistance follows from its length and \
            section at the vehicle's temperature, by 1/58 ohm mm2/m at 20 degrees.",
        terminals: "those of its ends",
        repairs: &["mend"],
    }
    FROM = "from", Holds::Point, Needed::Always, "The terminal where it begins.", RULE;
    TO = "to", Holds::Point, Needed::Always, "The terminal where it ends, another than that where it begins.", RULE;
    LENGTH_M = "length_m", Holds::Number(Limits::from(0.001, 50.0)), Needed::Always, "Its length.", "[NBS 1966]";
    SECTION_MM2 = "section_mm2", Holds::Number(Limits::from(0.05, 200.0)), Needed::Always,
        "Cross-section of its copper.", "[NBS 1966]";
    COLOUR = "colour", Holds::Colour, Needed::Always,
        "Colour of its insulation: one letter code, or several joined in the standard's order; green and yellow only \
            as `GNYE`.", "IEC 60757";
    SUPPLY_SIDE = "supply_side", Holds::Boolean, Needed::LeftOut("`true`"),
        "Whether it carries supply, so that it can short to ground.", RULE;
}

table! {
    strap: COMPONENT, {
        name: "strap",
        head: "[strap.ID]",
        says: "A bare ground strap, which comes off its stud: so a battery is disconnected. Copper, as a wire is.",
        terminals: "those of its ends",
        repairs: &["mend"],
    }
    FROM = "from", Holds::Point, Needed::Always, "The terminal where it begins.", RULE;
    TO = "to", Holds::Point, Needed::Always, "The terminal where it ends, another than that where it begins.", RULE;
    LENGTH_M = "length_m", Holds::Number(Limits::from(0.001, 50.0)), Needed::Always, "Its length.", "[NBS 1966]";
    SECTION_MM2 = "section_mm2", Holds::Number(Limits::from(0.05, 200.0)), Needed::Always,
        "Cross-section of its copper.", "[NBS 1966]";
}

/// What a connector's pins are called.
const PIN_NAMES: Holds = Holds::Names {
    least: 1,
    most: PARTS_MAX,
    chars: PIN_CHARS_MAX,
};
const PIN_OHM_UNSAID: Needed = Needed::LeftOut("0.005 ohm, that of a clean pin");

table! {
    connector_on_component: COMPONENT, {
        name: "connector-on-component",
        head: "[connector.ID] with `mates`",
        says: "A connector that is plugged onto a component: each pin meets the terminal there that has its name.",
        terminals: "its pins, on the side of the loom",
        repairs: &["mend"],
        marked_by: Some(&MATES),
    }
    PINS = "pins", PIN_NAMES, Needed::Always, "Its pins, by the names of the terminals that they meet.", "DIN 72552";
    MATES = "mates", Holds::Component(None), Needed::Always, "The component that is its far side.", RULE;
    PIN_RESISTANCE_OHM = "pin_resistance_ohm", Holds::Number(OHMS), PIN_OHM_UNSAID,
        "Resistance of each mated pin.", JUDGEMENT;
}

table! {
    connector_in_loom: COMPONENT, {
        name: "connector-in-loom",
        head: "[connector.ID] with `faces`",
        says: "A connector in the run of a loom: each pin has a terminal on either face.",
        terminals: "`PIN-FACE` for each pin and face",
        repairs: &["mend"],
    }
    PINS = "pins", PIN_NAMES, Needed::Always, "Its pins.", "DIN 72552";
    FACES = "faces", Holds::Names { least: 2, most: 2, chars: PART_CHARS_MAX - 1 }, Needed::Always,
        "A word for each of its two sides.", RULE;
    PIN_RESISTANCE_OHM = "pin_resistance_ohm", Holds::Number(OHMS), PIN_OHM_UNSAID,
        "Resistance of each mated pin.", JUDGEMENT;
}

table! {
    fusible_link: COMPONENT, {
        name: "fusible-link",
        head: "[fusible-link.ID]",
        says: "A fusible link: it melts by its own heat and stays open.",
        terminals: ENDS,
        repairs: &["replace"],
    }
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Its resistance while it is whole.",
        JUDGEMENT;
    ULTIMATE_A = "ultimate_a", Holds::Number(Limits::from(0.1, 500.0)), Needed::Always,
        "The largest current that it carries for ever.", "[IEC 60255-8], an approximation of its melting";
    TIME_CONSTANT_S = "time_constant_s", Holds::Number(Limits::from(1.0, 3600.0)), Needed::Always,
        "Time constant of its heat: at twice that current it melts in 0.29 of it.",
        "[IEC 60255-8], an approximation of its melting";
}

table! {
    ammeter: COMPONENT, {
        name: "ammeter",
        head: "[ammeter.ID]",
        says: "A dash ammeter in the feed, which the learner can read.",
        terminals: ENDS,
        repairs: &["replace"],
    }
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of its shunt.", JUDGEMENT;
}

table! {
    switch: COMPONENT, {
        name: "switch",
        head: "[switch.ID]",
        says: "A switch with named positions. A vehicle with a motor needs one worked by `key`, on in its last position, \
            and one worked by `wiper` with a position `off` first and one for each speed, the slowest first; a position \
            `interval` may come with them. One worked by `washer` works a washer.",
        terminals: "as `terminals` lists them",
        repairs: &["replace"],
    }
    CONTROL = "control", Holds::Name, Needed::Always, "The word that works it, another for each control.", RULE;
    REGION = "region", Holds::OneOf(&REGION_WORDS), Needed::Always,
        "Region of a verdict that it belongs to: `supply` for an ignition switch, `switch` for one of the wipers.", RULE;
    POSITIONS = "positions", Holds::Names { least: 2, most: PARTS_MAX, chars: PART_CHARS_MAX }, Needed::Always,
        "Its positions in the order of its travel; at rest it stands in the first.", RULE;
    TERMINALS = "terminals", Holds::Names { least: 1, most: PARTS_MAX, chars: PART_CHARS_MAX }, Needed::Always,
        "Its terminals.", "DIN 72552";
    CONTACTS = "contacts",
        Holds::Tables(Tables { of: &[&contact::TABLE], named: Naming::Part, least: 1, most: PARTS_MAX }),
        Needed::Always, "Its contacts by name.", RULE;
    RHEOSTAT = "rheostat", Holds::Table(&rheostat::TABLE), Needed::Where("a rheostat sits on its shaft"),
        "The rheostat on its shaft.", RULE;
}

table! {
    contact: Table::PLAIN, {
        name: "contact",
        head: "[switch.ID.contacts.NAME]",
        says: "A contact of a switch.",
    }
    BETWEEN = "between", TWO_TERMINALS, Needed::Always, "The two terminals that it joins.", RULE;
    CLOSED_IN = "closed_in", Holds::List { of: &A_POSITION, least: 1, most: PARTS_MAX }, Needed::Always,
        "The positions in which it is closed.", RULE;
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Its resistance while it is closed.",
        JUDGEMENT;
}

table! {
    rheostat: Table::PLAIN, {
        name: "rheostat",
        head: "[switch.ID.rheostat]",
        says: "A rheostat on a switch's shaft: its slider stands at a stop of the track in each of some positions, with \
            none of the track before the second terminal at the first stop and all of it at the last.",
    }
    BETWEEN = "between", TWO_TERMINALS, Needed::Always,
        "The terminal that the slider hangs on, and the one where the track begins.", RULE;
    STOPS = "stops", Holds::List { of: &A_POSITION, least: 2, most: PARTS_MAX }, Needed::Always,
        "The positions in which the slider stands on the track, in the order of the stops, which part it evenly.", RULE;
    TRACK_OHM = "track_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of the whole track.", JUDGEMENT;
    SLIDER_OHM = "slider_ohm", Holds::Number(OHMS), Needed::Always,
        "Resistance where the slider takes its current, and once more where it touches the track.", JUDGEMENT;
}

table! {
    resistor: COMPONENT, {
        name: "resistor",
        head: "[resistor.ID]",
        says: "A resistor with taps.",
        terminals: "as `terminals` lists them",
        repairs: &["replace"],
    }
    TERMINALS = "terminals", Holds::Names { least: 1, most: PARTS_MAX, chars: PART_CHARS_MAX }, Needed::Always,
        "Its terminals.", "DIN 72552";
    STEPS = "steps",
        Holds::Tables(Tables { of: &[&step::TABLE], named: Naming::Part, least: 1, most: PARTS_MAX }),
        Needed::Always, "Its steps by name.", RULE;
}

table! {
    step: Table::PLAIN, {
        name: "step",
        head: "[resistor.ID.steps.NAME]",
        says: "A step of a resistor.",
    }
    BETWEEN = "between", TWO_TERMINALS, Needed::Always, "The two terminals that it lies between.", RULE;
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Its resistance.", JUDGEMENT;
}

table! {
    body: COMPONENT, {
        name: "body",
        head: "[body.ID]",
        says: "The body's metal, which ground points are screwed to. A vehicle has one.",
        terminals: "`metal`",
    }
}

table! {
    ground_point: COMPONENT, {
        name: "ground-point",
        head: "[ground-point.ID]",
        says: "A screw that holds ring terminals to the body.",
        terminals: "`stud`",
        repairs: &["mend"],
    }
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Resistance from its stud to the body.",
        JUDGEMENT;
}

table! {
    consumer: COMPONENT, {
        name: "consumer",
        head: "[consumer.ID]",
        says: "Another consumer, such as a horn or a lamp. It shares feed and ground with the wipers, so it tells \
            something of them.",
        terminals: "`feed`, `ground`",
    }
    CONTROL = "control", Holds::Name, Needed::LeftOut("nobody can switch it on"),
        "The word that works it, another for each control; its positions are `off` and `on`.", RULE;
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Its resistance while it is on.", JUDGEMENT;
    RATED_V = "rated_v", Holds::Number(VOLTS), Needed::Always,
        "The voltage at which it works as meant; what is seen and heard of it goes by its own voltage beside that.",
        JUDGEMENT;
}

table! {
    alternator: COMPONENT, {
        name: "alternator",
        head: "[alternator.ID]",
        says: "An alternator with its regulator, on an engine that is bolted to the body. It feeds while its engine runs.",
        terminals: "`pos`",
        repairs: &[],
    }
    CONTROL = "control", Holds::Name, Needed::Always,
        "The word that starts and stops its engine, another for each control.", RULE;
    REGULATED_V = "regulated_v", Holds::Number(VOLTS), Needed::Always, "The voltage that it regulates to.", JUDGEMENT;
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always,
        "How far it gives way under load: its resistance to the body.", JUDGEMENT;
}

table! {
    pump: COMPONENT, {
        name: "pump",
        head: "[pump.ID]",
        says: "A washer's pump, which runs whenever it is fed.",
        terminals: "`53c`, `31`",
        repairs: &["replace"],
    }
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Its resistance.", JUDGEMENT;
    RATED_V = "rated_v", Holds::Number(VOLTS), Needed::Always,
        "The voltage at which it works as meant; the water at the jets goes by its current beside that at this voltage.",
        JUDGEMENT;
}
