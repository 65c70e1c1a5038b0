//! The table of verbs, which is the help page as well: words, short forms, synonyms, what follows them; a
//! module for each theme.

mod deciding;
mod hands;
mod measuring;
mod senses;

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
    /// Holding an arm against the motor.
    Hold,
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
    /// Writing down how likely each region is held to be.
    Suspect,
    /// Asking for a hint.
    Hint,
    /// Asking what the last check told.
    Why,
    /// Asking to be coached.
    Coach,
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
    /// What can hurt, and what going on does.
    Hazards,
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

/// The themes, in the order of the help page.
const THEMES: [&[Verb]; 4] = [
    &measuring::VERBS,
    &senses::VERBS,
    &hands::VERBS,
    &deciding::VERBS,
];

/// How many verbs there are.
const COUNT: usize = {
    let (mut count, mut theme) = (0, 0);
    while theme < THEMES.len() {
        count += THEMES[theme].len();
        theme += 1;
    }
    count
};

/// All verbs, in the order of the help page.
pub(super) static VERBS: [Verb; COUNT] = {
    let mut all = [THEMES[0][0]; COUNT];
    let (mut count, mut theme) = (0, 0);
    while theme < THEMES.len() {
        let mut place = 0;
        while place < THEMES[theme].len() {
            all[count] = THEMES[theme][place];
            count += 1;
            place += 1;
        }
        theme += 1;
    }
    all
};
