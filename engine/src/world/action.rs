//! What a learner can do, as values. The command line reads forgiving trade English into these.

use crate::quantity::Minutes;
use crate::scenario::Symptom;
use crate::vehicle::{ComponentId, CoverId, ModeId, PlaceId, Point, Region};

/// A measurement between two points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measurement {
    /// DC volts.
    Volts,
    /// Ohms, with the meter's own source.
    Ohms,
    /// Continuity: ohms with a beep below a limit.
    Continuity,
    /// Diode: the voltage that the meter's small constant current leaves.
    Diode,
    /// Amps, the meter in series through its shunt and its fuse.
    Amps,
    /// A test lamp.
    Lamp,
    /// A load lamp, with the volts across it: what a circuit holds under load.
    Load,
}

impl Measurement {
    /// All measurements.
    pub const ALL: [Self; 7] = [
        Self::Volts,
        Self::Ohms,
        Self::Continuity,
        Self::Diode,
        Self::Amps,
        Self::Lamp,
        Self::Load,
    ];

    /// The verb of strict words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Volts => "volts",
            Self::Ohms => "ohms",
            Self::Continuity => "continuity",
            Self::Diode => "diode",
            Self::Amps => "amps",
            Self::Lamp => "lamp",
            Self::Load => "load",
        }
    }

    /// Whether the meter drives current of its own through what it measures.
    #[must_use]
    pub const fn has_source(self) -> bool {
        matches!(self, Self::Ohms | Self::Continuity | Self::Diode)
    }
}

/// What the senses are turned to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sense {
    /// Watching the blades on the glass.
    LookBlades,
    /// Looking at crank and links, with the cover off.
    LookLinkage,
    /// Listening to motor and breaker.
    Listen,
    /// Looking at one component.
    LookAt(ComponentId),
    /// Feeling a component for heat.
    Feel(ComponentId),
    /// Smelling at a component.
    Smell(ComponentId),
    /// Reading the dash ammeter.
    Ammeter,
    /// Counting cycles against a watch.
    Count,
    /// Trying another consumer for a moment.
    Try(ComponentId),
}

/// A failure mode that a learner names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Verdict {
    /// The component.
    pub component: ComponentId,
    /// The mode.
    pub mode: ModeId,
}

/// The write-up: complaint, cause, correction.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WriteUp {
    /// The symptom that was reproduced.
    pub complaint: Option<Symptom>,
    /// The cause.
    pub cause: Option<Verdict>,
    /// The component that was put right.
    pub correction: Option<ComponentId>,
    /// Free text.
    pub text: String,
}

/// What a learner asks the technician for. The answer comes of the readings so far and never of what is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hint {
    /// Where most of what is still possible lies.
    Where,
    /// What kind of check tells most a minute now, and in which setting.
    What,
    /// Which check that is.
    Which,
    /// What the last check told, and what is still possible.
    Why,
}

impl Hint {
    /// All hints: the three strengths, weakest first, and what the last check told.
    pub const ALL: [Self; 4] = [Self::Where, Self::What, Self::Which, Self::Why];

    /// The word used in records and on screen.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Where => "where",
            Self::What => "what",
            Self::Which => "which",
            Self::Why => "why",
        }
    }

    /// Minutes that it takes and loses: the more the less is left to think of (judgement).
    #[must_use]
    pub const fn minutes(self) -> Minutes {
        Minutes::from_hundredths(match self {
            Self::Where | Self::Why => 100,
            Self::What => 200,
            Self::Which => 400,
        })
    }
}

/// Chances in a hundred that a learner gives each region, in the order of [`Region::ALL`]: together at most a hundred.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Suspicion {
    /// In a hundred.
    pub chances: [u8; Region::ALL.len()],
}

impl Suspicion {
    /// The chances as shares of 1.
    #[must_use]
    pub fn shares(&self) -> [f64; Region::ALL.len()] {
        self.chances.map(|chance| f64::from(chance) / 100.0)
    }

    /// The sum of the chances, in a hundred.
    #[must_use]
    pub fn total(&self) -> u32 {
        self.chances.iter().map(|chance| u32::from(*chance)).sum()
    }
}

/// Something a learner does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Action {
    /// Going to a place.
    Go(PlaceId),
    /// Taking a cover off.
    Remove(CoverId),
    /// Putting a cover back.
    Fit(CoverId),
    /// Working a control, oneself or by a helper in the cab.
    Control {
        /// The control.
        component: ComponentId,
        /// The position to put it in.
        position: usize,
        /// Whether to wait until the blades are at mid-glass.
        at_mid_glass: bool,
        /// Whether a helper does it.
        by_helper: bool,
    },
    /// Measuring with the meter.
    Measure {
        /// What.
        what: Measurement,
        /// Red lead.
        red: Point,
        /// Black lead.
        black: Point,
    },
    /// Measuring the current in a wire with a clamp, which does not load the circuit.
    Clamp(ComponentId),
    /// Following the current in a wire over two turns of the shaft, with a low-amps clamp.
    Trace(ComponentId),
    /// Testing the battery: its volts at rest and under a test load.
    BatteryTest,
    /// Holding the leads together and setting the ohms range to zero there, so that it leaves the leads out.
    Zero,
    /// Fitting new fuses in the meter and in the jumper leads.
    NewFuse,
    /// Putting a fused jumper lead on, one end after the other.
    Jumper {
        /// The end that is connected first.
        first: Point,
        /// The end that is connected last.
        second: Point,
    },
    /// Taking off the jumper lead that was put on last, its last end first.
    RemoveJumper {
        /// Whether to wait until the blades are at mid-glass.
        at_mid_glass: bool,
    },
    /// Leaving the voltmeter connected: it reports after every command.
    Clip {
        /// Red lead.
        red: Point,
        /// Black lead.
        black: Point,
    },
    /// Taking it off again.
    Unclip,
    /// Unplugging a connector.
    Unplug(ComponentId),
    /// Plugging it.
    Plug(ComponentId),
    /// Pulling gently at one terminal.
    Tug(Point),
    /// Wiggling a component and the wires that end on it.
    Wiggle(ComponentId),
    /// Asking the driver again how it went.
    Ask,
    /// Putting a known good part in a component's place, to see what that changes.
    Substitute(ComponentId),
    /// Putting the old part back.
    PutBack(ComponentId),
    /// Looking, listening, feeling, counting.
    Sense(Sense),
    /// Moving an arm by hand.
    MoveArm(ComponentId),
    /// Helping an arm along by hand while it is worked.
    Assist(ComponentId),
    /// Holding an arm against the motor for up to a minute.
    Hold(ComponentId),
    /// Undoing the crank nut or a link.
    Loosen(ComponentId),
    /// Doing it up again.
    Tighten(ComponentId),
    /// Wetting the glass.
    WetGlass,
    /// Waiting.
    Wait {
        /// How long, whole seconds.
        seconds: u32,
    },
    /// Recording a verdict; it may be changed and reveals nothing.
    Conclude(Verdict),
    /// Putting a component right.
    Repair {
        /// The component.
        component: ComponentId,
        /// Position in its list of repairs.
        way: usize,
    },
    /// A note to oneself.
    Note(String),
    /// Writing down how likely each region is held to be; it costs nothing and is told of at the end.
    Suspect(Suspicion),
    /// Asking for a hint.
    Hint(Hint),
    /// Asking to be coached from here on: hints are free, and the attempt is not marked.
    Coach,
    /// Handing over, which ends the attempt.
    HandOver(WriteUp),
    /// Giving up, which ends the attempt without a mark.
    GiveUp,
}

/// Longest wait at a time, seconds: simulated time is bounded.
pub const WAIT_MAX_S: u32 = 1800;

/// Longest note or write-up, characters.
pub const TEXT_MAX: usize = 500;

impl Action {
    /// Whether the action is done to learn something, as opposed to what prepares, puts right or ends.
    #[must_use]
    pub const fn is_check(&self) -> bool {
        self.nature().0
    }

    /// Whether it takes what lies in the meter's case: meter, clamps, lamps and leads.
    pub(super) const fn takes_meter(&self) -> bool {
        self.nature().1
    }

    /// Whether it is a check, and whether it takes the meter's case. Every action is named here, so that a new one is.
    const fn nature(&self) -> (bool, bool) {
        match self {
            Self::Measure { .. } | Self::Clamp(_) | Self::Trace(_) | Self::BatteryTest => {
                (true, true)
            }
            Self::Tug(_)
            | Self::Wiggle(_)
            | Self::Ask
            | Self::Sense(_)
            | Self::MoveArm(_)
            | Self::Assist(_)
            | Self::Hold(_) => (true, false),
            Self::Clip { .. } | Self::Zero | Self::NewFuse | Self::Jumper { .. } => (false, true),
            Self::Go(_)
            | Self::Remove(_)
            | Self::Fit(_)
            | Self::Control { .. }
            | Self::RemoveJumper { .. }
            | Self::Unclip
            | Self::Unplug(_)
            | Self::Plug(_)
            | Self::Substitute(_)
            | Self::PutBack(_)
            | Self::Loosen(_)
            | Self::Tighten(_)
            | Self::WetGlass
            | Self::Wait { .. }
            | Self::Conclude(_)
            | Self::Repair { .. }
            | Self::Note(_)
            | Self::Suspect(_)
            | Self::Hint(_)
            | Self::Coach
            | Self::HandOver(_)
            | Self::GiveUp => (false, false),
        }
    }

    /// Whether the action ends the attempt.
    #[must_use]
    pub const fn ends(&self) -> bool {
        matches!(self, Self::HandOver(_) | Self::GiveUp)
    }
}

/// Minutes of an action, part by part, so that a learner can be told beforehand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cost {
    /// Walking and opening covers.
    pub access: Minutes,
    /// The work itself.
    pub work: Minutes,
}

impl Cost {
    /// Everything.
    #[must_use]
    pub const fn total(self) -> Minutes {
        self.access.plus(self.work)
    }
}
