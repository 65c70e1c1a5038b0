//! The table of verbs, which is the help page as well: words, short forms, synonyms, what follows them.

/// What a verb does, so that the reader can go on from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Does {
    /// Volts between two points.
    Volts,
    /// Volts with both points named.
    Drop,
    /// Ohms between two points.
    Ohms,
    /// Continuity between two points.
    Continuity,
    /// The meter's diode range between two points.
    Diode,
    /// Amps through the meter, in series between two points.
    Amps,
    /// A test lamp between two points.
    Lamp,
    /// A load lamp between two points.
    Load,
    /// Current in a wire.
    Clamp,
    /// Current in a wire over two turns of the shaft.
    Trace,
    /// Testing the battery.
    BatteryTest,
    /// Setting the ohms range to zero.
    Zero,
    /// Fitting new fuses in meter and leads.
    NewFuse,
    /// Putting a jumper lead on.
    Jumper,
    /// Taking the last one off.
    RemoveJumper,
    /// Leaving the voltmeter connected.
    Clip,
    /// Taking it off.
    Unclip,
    /// Working a control.
    Set,
    /// Having a helper work it.
    Helper,
    /// Looking at blades or linkage.
    Look,
    /// Listening.
    Listen,
    /// Feeling a component.
    Feel,
    /// Smelling at a component.
    Smell,
    /// Pulling at a terminal.
    Tug,
    /// Wiggling a component and its wires.
    Wiggle,
    /// Asking the driver again.
    Ask,
    /// Trying a known good part.
    Substitute,
    /// Putting the old part back.
    SwapBack,
    /// Reading the dash ammeter.
    Ammeter,
    /// Counting cycles.
    Count,
    /// Trying another consumer.
    Try,
    /// Going to a place.
    Go,
    /// Taking a cover off.
    Remove,
    /// Putting a cover back.
    Fit,
    /// Undoing a nut or link.
    Loosen,
    /// Doing it up.
    Tighten,
    /// Unplugging a connector.
    Unplug,
    /// Plugging it.
    Plug,
    /// Moving an arm.
    Move,
    /// Helping an arm along.
    Assist,
    /// Wetting the glass.
    Wet,
    /// Waiting.
    Wait,
    /// Recording a verdict.
    Conclude,
    /// Repairing.
    Repair,
    /// Writing a note.
    Note,
    /// Handing over.
    HandOver,
    /// Giving up.
    GiveUp,
    /// The wiring diagram.
    Diagram,
    /// The workshop's book.
    Data,
    /// All readings so far.
    Readings,
    /// Where one is and what is off.
    Where,
    /// Help.
    Help,
    /// The last line once more.
    Again,
    /// Leaving, with the record kept.
    Pause,
}

/// One row of the table of verbs, which is the help page as well.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verb {
    /// What it does.
    pub does: Does,
    /// The word.
    pub word: &'static str,
    /// Its short form; empty when there is none.
    pub short: &'static str,
    /// Other words for it, some of several words.
    pub synonyms: &'static [&'static str],
    /// What follows it, in capitals what the learner fills in; empty when nothing does.
    pub arguments: &'static str,
    /// One line of help.
    pub help: &'static str,
    /// A command that uses it.
    pub example: &'static str,
}

/// Builds a row; eight positional fields read better in a table than eight named ones.
const fn row(
    does: Does,
    (word, short): (&'static str, &'static str),
    synonyms: &'static [&'static str],
    arguments: &'static str,
    help: &'static str,
    example: &'static str,
) -> Verb {
    Verb {
        does,
        word,
        short,
        synonyms,
        arguments,
        help,
        example,
    }
}

/// All verbs, in the order of the help page: measuring, controls, senses, places and hands, deciding,
/// paper.
pub(super) const VERBS: [Verb; 54] = [
    row(
        Does::Volts,
        ("volts", "v"),
        &["volt", "voltage", "voltmeter"],
        "POINT [POINT]",
        "Volts at the first point; the black lead goes on battery neg unless a second is named",
        "volts motor 53 to ground",
    ),
    row(
        Does::Drop,
        ("drop", "d"),
        &["voltage drop", "volt drop", "volts drop"],
        "POINT POINT",
        "Volts between two points that ought to be nearly alike",
        "drop battery neg motor 31",
    ),
    row(
        Does::Ohms,
        ("ohms", "o"),
        &["ohm", "resistance", "ohmmeter"],
        "POINT [POINT]",
        "Ohms between two points; means something only where nothing is live",
        "ohms motor 53 motor 31",
    ),
    row(
        Does::Continuity,
        ("continuity", "cn"),
        &["beep", "buzz"],
        "POINT [POINT]",
        "Ohms with a beep below 30; as little use where anything is live",
        "continuity motor-plug 53 to wiper-switch 53",
    ),
    row(
        Does::Diode,
        ("diode", "di"),
        &["diode test"],
        "POINT [POINT]",
        "The meter's diode range: the volts that its 1 mA leaves",
        "diode motor 53 motor 31",
    ),
    row(
        Does::Amps,
        ("amps", "ap"),
        &["amp", "ammeter in series", "series amps"],
        "POINT POINT",
        "Amps through the meter, in series where the circuit was opened; around a wire the clamp",
        "amps motor-plug 53 motor 53",
    ),
    row(
        Does::Lamp,
        ("lamp", "tl"),
        &["test lamp", "testlamp", "test light"],
        "POINT [POINT]",
        "A test lamp of 3 W between two points: it draws current, so a ghost voltage leaves it dark",
        "lamp motor 53 to ground",
    ),
    row(
        Does::Load,
        ("load", "ll"),
        &[
            "load lamp",
            "load test",
            "headlamp bulb",
            "load bulb",
            "load light",
        ],
        "POINT [POINT]",
        "A load lamp of 55 W, and the volts across it: what a circuit holds under load",
        "load motor-plug 53a",
    ),
    row(
        Does::Clamp,
        ("clamp", "a"),
        &["current", "clamp meter"],
        "WIRE",
        "Amps in a wire, with a clamp around it; the wire by name, or by its two ends",
        "clamp motor 53",
    ),
    row(
        Does::Trace,
        ("trace", "tr"),
        &["current trace", "low amps", "waveform", "scope"],
        "WIRE",
        "The current in a wire over two turns of the motor's shaft, by a low-amps clamp",
        "trace motor strap",
    ),
    row(
        Does::BatteryTest,
        ("battery test", "bt"),
        &["test battery", "test the battery", "load test battery"],
        "",
        "The battery's volts as things are, then under a load of some 90 A for ten seconds",
        "battery test",
    ),
    row(
        Does::Zero,
        ("zero", "ze"),
        &["relative", "rel", "null"],
        "",
        "Holds the leads together and sets the ohms range to zero, so that it leaves the leads out",
        "zero",
    ),
    row(
        Does::NewFuse,
        ("new fuse", "nf"),
        &[
            "new fuses",
            "fit new fuse",
            "replace meter fuse",
            "change fuse",
            "new meter fuse",
            "replace fuse in meter",
        ],
        "",
        "Fits new fuses in the meter and in the jumper leads that are on",
        "new fuse",
    ),
    row(
        Does::Jumper,
        ("jumper", "j"),
        &[
            "jump",
            "bridge",
            "jumper lead",
            "put jumper lead",
            "put jumper",
            "fit jumper",
            "connect jumper",
            "put lead",
        ],
        "POINT POINT",
        "Puts a fused lead on, first end first: the motor's end before the battery's",
        "jumper motor 53 battery pos",
    ),
    row(
        Does::RemoveJumper,
        ("remove jumper", "rj"),
        &[
            "jumper off",
            "remove jumpers",
            "take off jumper",
            "remove lead",
            "remove jumper lead",
            "take off jumper lead",
            "take off lead",
            "disconnect jumper",
            "unclip jumper",
            "pull off jumper",
        ],
        "",
        "Takes the jumper lead off that was put on last, its last end first",
        "remove jumper",
    ),
    row(
        Does::Clip,
        ("clip", "cp"),
        &[
            "hook",
            "clip meter",
            "clip voltmeter",
            "leave meter",
            "attach meter",
            "connect meter",
            "put meter",
            "hook meter",
        ],
        "POINT [POINT]",
        "Leaves the voltmeter connected: it reports after every command",
        "clip motor 53",
    ),
    row(
        Does::Unclip,
        ("unclip", "uc"),
        &[
            "clip off",
            "unhook",
            "remove clip",
            "remove meter",
            "take off meter",
            "unclip meter",
            "disconnect meter",
            "take off clip",
        ],
        "",
        "Takes the clipped voltmeter off",
        "unclip",
    ),
    row(
        Does::Set,
        ("set", ""),
        &["turn", "put", "switch", "start", "stop", "run", "wash"],
        "CONTROL POSITION [at mid-glass]",
        "Works a control; its own word is enough (`key on`, `wiper low`; short `k on`, `w low`)",
        "wiper off at mid-glass",
    ),
    row(
        Does::Helper,
        ("helper", "h"),
        &[
            "have helper",
            "ask helper",
            "have the helper",
            "ask the helper",
            "tell helper",
        ],
        "CONTROL POSITION [at mid-glass]",
        "Has the helper in the cab work a control while you stay where you are",
        "helper wiper off",
    ),
    row(
        Does::Look,
        ("look", "l"),
        &["watch", "see", "inspect", "examine", "observe"],
        "[blades|linkage|COMPONENT]",
        "Watches the blades on the glass, or crank and links; or looks at one part",
        "look linkage",
    ),
    row(
        Does::Listen,
        ("listen", "li"),
        &["hear"],
        "",
        "Listens to motor and breaker",
        "listen",
    ),
    row(
        Does::Feel,
        ("feel", "f"),
        &["touch"],
        "COMPONENT",
        "Feels a component for heat",
        "feel motor",
    ),
    row(
        Does::Smell,
        ("smell", "sm"),
        &["sniff"],
        "COMPONENT",
        "Smells at a component",
        "smell motor",
    ),
    row(
        Does::Tug,
        ("tug", "tg"),
        &["pull", "pull at", "pull on", "tug at", "tug on"],
        "POINT",
        "Pulls gently at one terminal or the wire on it",
        "tug motor-plug 53",
    ),
    row(
        Does::Wiggle,
        ("wiggle", "wl"),
        &["shake", "waggle", "flex"],
        "COMPONENT",
        "Wiggles a wire, or a plug or part with all wires that end on it; clip the meter on first",
        "wiggle motor plug",
    ),
    row(
        Does::Ask,
        ("ask", "ak"),
        &[
            "ask driver",
            "ask the driver",
            "ask customer",
            "ask the customer",
            "ask again",
        ],
        "",
        "Asks the driver again how each position went, and when it happens",
        "ask",
    ),
    row(
        Does::Substitute,
        ("substitute", "sub"),
        &[
            "swap in",
            "swap",
            "try known good",
            "try new",
            "fit known good",
            "put in known good",
        ],
        "COMPONENT",
        "Puts a known good part of the workshop's in a component's place, to see what that changes",
        "substitute wiper breaker",
    ),
    row(
        Does::SwapBack,
        ("swap back", "sb"),
        &[
            "take back",
            "old part back",
            "swap old part back",
            "put old part back",
            "put back old part",
            "refit old part",
        ],
        "[COMPONENT]",
        "Puts the old part back; which, needs telling only where several are swapped",
        "swap back wiper breaker",
    ),
    row(
        Does::Ammeter,
        ("ammeter", "am"),
        &["dash ammeter"],
        "",
        "Reads the ammeter in the dash",
        "ammeter",
    ),
    row(
        Does::Count,
        ("count", "c"),
        &["strokes", "time wipers", "time blades"],
        "",
        "Counts cycles against a watch",
        "count",
    ),
    row(
        Does::Try,
        ("try", "t"),
        &["test", "sound"],
        "CONSUMER",
        "Tries another consumer for a moment; its name alone is enough",
        "try horn",
    ),
    row(
        Does::Go,
        ("go", "g"),
        &["walk", "goto", "get in", "get into", "sit in"],
        "PLACE",
        "Goes to a place",
        "go under dash",
    ),
    row(
        Does::Remove,
        ("remove", "rm"),
        &["take off", "open", "uncover"],
        "COVER",
        "Takes a cover off",
        "open bonnet",
    ),
    row(
        Does::Fit,
        ("fit", "ft"),
        &["put back", "close", "refit"],
        "COVER",
        "Puts a cover back",
        "close bonnet",
    ),
    row(
        Does::Loosen,
        ("loosen", "ls"),
        &["undo", "slacken", "unscrew"],
        "NUT|LINK",
        "Undoes the crank nut or a link, to part motor, links and arms",
        "loosen crank nut",
    ),
    row(
        Does::Tighten,
        ("tighten", "tn"),
        &["do up", "retighten", "torque"],
        "NUT|LINK",
        "Does it up again",
        "tighten crank nut",
    ),
    row(
        Does::Unplug,
        ("unplug", "un"),
        &["disconnect"],
        "CONNECTOR",
        "Unplugs a connector",
        "unplug motor plug",
    ),
    row(
        Does::Plug,
        ("plug", "pl"),
        &["plug in", "connect", "reconnect"],
        "CONNECTOR",
        "Plugs it again",
        "plug motor plug",
    ),
    row(
        Does::Move,
        ("move", "mv"),
        &["swing", "lift"],
        "ARM",
        "Moves an arm by hand, to feel play and stiffness",
        "move left arm",
    ),
    row(
        Does::Assist,
        ("assist", "as"),
        &["push", "aid"],
        "ARM",
        "Helps an arm along by hand while it is worked",
        "assist left arm",
    ),
    row(
        Does::Wet,
        ("wet", "wg"),
        &["wet glass", "spray", "hose", "pour water"],
        "[glass]",
        "Wets the glass, as is done before blades move on it",
        "wet glass",
    ),
    row(
        Does::Wait,
        ("wait", "z"),
        &["sleep", "hold on"],
        "TIME",
        "Lets time pass: `wait 20 s`, `wait 2 min`; a bare number is seconds",
        "wait 20 s",
    ),
    row(
        Does::Conclude,
        ("conclude", "con"),
        &[
            "verdict",
            "diagnosis",
            "fault is",
            "cause is",
            "think it is",
            "it is",
            "its",
        ],
        "COMPONENT FAILURE",
        "Records what you hold to be the fault; may be changed, reveals nothing",
        "conclude motor low brush worn",
    ),
    row(
        Does::Repair,
        ("repair", "rep"),
        &[
            "fix", "replace", "renew", "mend", "free", "explain", "charge", "clear", "change",
            "clean", "grease", "oil", "free up", "fit new", "new",
        ],
        "COMPONENT [WAY]",
        "Puts a component right; the way may be left out when there is only one",
        "repair motor brushes",
    ),
    row(
        Does::Note,
        ("note", "n"),
        &["notes", "write down"],
        "TEXT",
        "Writes a note to yourself, everything up to the end of the line",
        "note drop at the strap is 1.2 V; check again wet",
    ),
    row(
        Does::HandOver,
        ("hand over", "ho"),
        &["handover", "hand back", "finish", "finished", "done"],
        "[complaint SYMPTOM] [cause COMPONENT FAILURE] [correction COMPONENT] [note TEXT]",
        "Ends the attempt with the write-up; alone, it asks for the parts one by one",
        "hand over complaint slow cause motor low brush worn correction motor",
    ),
    row(
        Does::GiveUp,
        ("give up", "gu"),
        &["giveup", "surrender", "give in"],
        "",
        "Ends the attempt without a mark, and shows the fault",
        "give up",
    ),
    row(
        Does::Diagram,
        ("diagram", "dg"),
        &["schematic", "drawing", "wiring diagram", "wiring"],
        "",
        "Shows the wiring diagram",
        "diagram",
    ),
    row(
        Does::Data,
        ("data", "da"),
        &["book", "manual", "specs"],
        "[TOPIC]",
        "Shows the workshop's book, or one topic of it",
        "data",
    ),
    row(
        Does::Readings,
        ("readings", "rd"),
        &["history", "results"],
        "",
        "Shows all readings so far, each with the state it was taken in",
        "readings",
    ),
    row(
        Does::Where,
        ("where", "st"),
        &["status", "where am i", "time left", "time used", "how long"],
        "",
        "Shows where you are, what is off or unplugged, the controls, the minutes used",
        "where",
    ),
    row(
        Does::Help,
        ("help", "?"),
        &["commands"],
        "[VERB|points]",
        "Shows the commands, or one of them; `help points` shows how points are named",
        "help drop",
    ),
    row(
        Does::Again,
        ("again", "!!"),
        &["repeat"],
        "",
        "Does the last line once more",
        "again",
    ),
    row(
        Does::Pause,
        ("pause", "q"),
        &["quit", "exit", "bye", "save"],
        "",
        "Leaves and keeps the record, to go on later",
        "pause",
    ),
];
