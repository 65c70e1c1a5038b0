//! Keys of what protects and switches by itself: breakers, fuses, relays, interval units, diodes, splices.

use super::vehicle::COMPONENT;
use super::{
    Holds, JUDGEMENT, Key, Limits, Needed, OHMS, PART_CHARS_MAX, PARTS_MAX, RULE, Table, VOLTS,
    table,
};

const ULTIMATE: Holds = Holds::Number(Limits::from(0.1, 500.0));
const TIME_CONSTANT: Holds = Holds::Number(Limits::from(1.0, 3600.0));
const RECLOSES: Holds = Holds::Number(Limits::from(0.01, 0.9));
const THERMAL: &str = "[IEC 60255-8]";

table! {
    breaker: COMPONENT, {
        name: "breaker",
        head: "[breaker.ID]",
        says: "A bimetal breaker that closes again by itself when it has cooled.",
        terminals: "`in`, `out`",
        repairs: &["replace"],
    }
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Its resistance while it is closed.",
        JUDGEMENT;
    ULTIMATE_A = "ultimate_a", ULTIMATE, Needed::Always, "The largest current that never trips it.", THERMAL;
    TIME_CONSTANT_S = "time_constant_s", TIME_CONSTANT, Needed::Always,
        "Time constant of its heat: at twice that current it trips in 0.29 of it, from cold.", THERMAL;
    RECLOSE = "reclose", RECLOSES, Needed::Always, "Share of the rise at which it trips at which it closes again.",
        "SAE J553, type 1";
}

table! {
    built_in_breaker: COMPONENT, {
        name: "built-in-breaker",
        head: "[breaker.ID] with `behind`",
        says: "A bimetal breaker that is built into another component, behind a terminal of that: all else in there then \
            hangs behind it.",
        terminals: "none of its own",
        repairs: &["replace"],
        marked_by: Some(&BEHIND),
    }
    BEHIND = "behind", Holds::Point, Needed::Always, "The terminal that it sits behind, of the component it is part of.",
        RULE;
    PART_OF = "part_of", Holds::Component(None), Needed::Always, "The component it is built into, replaced along with it.",
        RULE;
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Its resistance while it is closed.",
        JUDGEMENT;
    ULTIMATE_A = "ultimate_a", ULTIMATE, Needed::Always, "The largest current that never trips it.", THERMAL;
    TIME_CONSTANT_S = "time_constant_s", TIME_CONSTANT, Needed::Always,
        "Time constant of its heat: at twice that current it trips in 0.29 of it, from cold.", THERMAL;
    RECLOSE = "reclose", RECLOSES, Needed::Always, "Share of the rise at which it trips at which it closes again.",
        "SAE J553, type 1";
}

table! {
    fuse: COMPONENT, {
        name: "fuse",
        head: "[fuse.ID]",
        says: "A blade fuse and the clips that hold it.",
        terminals: "`in`, `out`",
        repairs: &["replace", "mend"],
    }
    RATING_A = "rating_a", Holds::Number(Limits::from(1.0, 40.0)), Needed::Always,
        "Its rating; it carries 15 % more for ever.", "[ISO 8820-3]";
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of the blade.", JUDGEMENT;
    CLIPS_OHM = "clips_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of the clips.", JUDGEMENT;
}

table! {
    relay: COMPONENT, {
        name: "relay",
        head: "[relay.ID]",
        says: "A relay with a coil between 86 and 85 and a change-over contact. It drops out at less than it pulls in at, \
            and goes by the current of its coil.",
        terminals: "`30`, `85`, `86`, `87`, `87a`",
        repairs: &["replace"],
    }
    COIL_OHM = "coil_ohm", Holds::Number(Limits::from(1.0, 1e4)), Needed::Always, "Resistance of its coil.", JUDGEMENT;
    PULL_IN_V = "pull_in_v", Holds::Number(VOLTS), Needed::Always, "Voltage at its coil from which it pulls in.",
        JUDGEMENT;
    DROP_OUT_V = "drop_out_v", Holds::Number(VOLTS), Needed::Always,
        "Voltage at its coil at which it drops out, less than that at which it pulls in.", JUDGEMENT;
    CONTACT_OHM = "contact_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of either side of its contact.",
        JUDGEMENT;
}

table! {
    interval_unit: COMPONENT, {
        name: "interval-unit",
        head: "[interval-unit.ID]",
        says: "An electronic unit that feeds its output in pulses for wiping at intervals, and for a while after washing.",
        terminals: "`15`, `31`, `i`, `53c`, `out`",
        repairs: &["replace"],
    }
    PULSE_S = "pulse_s", Holds::Number(Limits::from(0.05, 5.0)), Needed::Always, "How long a pulse lasts.", JUDGEMENT;
    PAUSE_S = "pause_s", Holds::Number(Limits::from(0.5, 60.0)), Needed::Always, "How long it waits for the next pulse.",
        JUDGEMENT;
    AFTER_WASH_S = "after_wash_s", Holds::Number(Limits::from(0.1, 30.0)), Needed::Always,
        "How long it goes on wiping after washing.", JUDGEMENT;
    WORKS_FROM_V = "works_from_v", Holds::Number(VOLTS), Needed::Always,
        "Voltage from which it works, and takes an input for on.", JUDGEMENT;
    OUTPUT_OHM = "output_ohm", Holds::Number(OHMS), Needed::Always,
        "Resistance from 15 to its output while it feeds that.", JUDGEMENT;
}

table! {
    diode: COMPONENT, {
        name: "diode",
        head: "[diode.ID]",
        says: "A diode that hangs on two terminals of other components: 0.7 V and 0.05 ohm while it conducts.",
        terminals: "none of its own",
        repairs: &["replace"],
    }
    ANODE = "anode", Holds::Point, Needed::Always, "The terminal from which it conducts.", RULE;
    CATHODE = "cathode", Holds::Point, Needed::Always, "The terminal to which it conducts, marked by its band.", RULE;
}

table! {
    splice: COMPONENT, {
        name: "splice",
        head: "[splice.ID]",
        says: "Wire ends that are crimped or welded together in the run of a loom.",
        terminals: "as `ends` lists them",
        repairs: &["mend"],
    }
    ENDS = "ends", Holds::Names { least: 1, most: PARTS_MAX, chars: PART_CHARS_MAX }, Needed::Always,
        "A word for each wire that ends in it.", RULE;
    RESISTANCE_OHM = "resistance_ohm", Holds::Number(OHMS), Needed::Always, "Resistance of each end to the middle.",
        JUDGEMENT;
}
