//! What a learner is told at the end: a line for each check, the marks, and what would have been better.

use super::suspicion::Stated;
use crate::quantity::Minutes;
use crate::scenario::Symptom;
use crate::vehicle::{ComponentId, Fault, Region};
use crate::world::{Hazard, Verdict};

/// How near a verdict is to the truth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum VerdictLevel {
    /// No verdict, or another region.
    Wrong,
    /// The right region only.
    RightRegion,
    /// The right component, but another repair.
    RightComponent,
    /// The right repair, but another failure mode.
    RightRepair,
    /// Component and failure mode.
    Exact,
}

impl VerdictLevel {
    /// The words used in output.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Wrong => "wrong",
            Self::RightRegion => "right region",
            Self::RightComponent => "right component",
            Self::RightRepair => "right repair",
            Self::Exact => "exact",
        }
    }

    /// Kinship with the truth, 0 to 1.
    #[must_use]
    pub const fn kinship(self) -> f64 {
        match self {
            Self::Wrong => 0.0,
            Self::RightRegion => 0.3,
            Self::RightComponent => 0.7,
            Self::RightRepair => 0.9,
            Self::Exact => 1.0,
        }
    }
}

/// A check that would have told more for its minutes.
#[derive(Clone, Debug, PartialEq)]
pub struct Better {
    /// What had to be done before it from there, in strict words.
    pub first: Vec<String>,
    /// The check, with the setting it needs, in words.
    pub check: String,
    /// Bits it was expected to tell.
    pub bits: f64,
    /// Minutes it would have taken from there.
    pub minutes: Minutes,
}

/// What became of hands in a linkage that could start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hands {
    /// They were nowhere near it, or it was not likely to move.
    #[default]
    Free,
    /// It stood, but in most of the vehicles still believed in it would have moved: it counts as if it had.
    LikelyCaught,
    /// It moved with the hands in it.
    Caught,
}

impl Hands {
    /// The word used in output.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Free => "free",
            Self::LikelyCaught => "likely caught",
            Self::Caught => "caught",
        }
    }
}

/// What one action was worth.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CheckLine {
    /// The event's number.
    pub n: usize,
    /// The action in strict words.
    pub action: String,
    /// Minutes it took.
    pub minutes: Minutes,
    /// The price of parts, as minutes at the shop's rate.
    pub parts: f64,
    /// Whether it could tell anything: a check, as opposed to going, opening, noting.
    pub is_check: bool,
    /// Whether it asked for a hint.
    pub is_hint: bool,
    /// Whether it is a repair.
    pub is_repair: bool,
    /// Whether it confirmed what was proven already, within what that may take: in the setting it was made in it
    /// could have told of the complaint.
    pub confirms: bool,
    /// Whether it was the first such check on a part that could have had to do with the complaint, by an instrument or
    /// by hand: the proof that comes before a repair. It counts as a well chosen check.
    pub proves: bool,
    /// Whether all of it had been read in the same state before.
    pub repeats: bool,
    /// Minutes of it and of what led up to it since the last check, as it is priced: what is unplugged or undone is
    /// charged with putting it back.
    pub led_up: Minutes,
    /// Minutes of it that were not needed and are let pass.
    pub let_pass: f64,
    /// Whether it saw to the vehicle after a repair, which costs nothing.
    pub verifies: bool,
    /// Bits it was expected to tell, of the repair that is needed.
    pub expected_bits: f64,
    /// Bits it did tell.
    pub bits: f64,
    /// The largest change that it made to the belief in a repair, 0 to 1: likelihoods can change places and leave as much
    /// doubt as there was.
    pub moved: f64,
    /// Repairs still to be reckoned with, before and after.
    pub suspects: [usize; 2],
    /// Minutes lost against what was known then.
    pub lost: Minutes,
    /// Efficiency, 0 to 1; `None` for what is neither check nor repair.
    pub efficiency: Option<f64>,
    /// What would have told more per minute, when that is much.
    pub better: Option<Better>,
    /// Chance, by what had been seen, that this repair was the right one.
    pub repair_chance: Option<f64>,
    /// Minutes that came of it, and of what prepared it, beyond what was to be expected: luck, good where it is
    /// below zero.
    pub luck: f64,
    /// Whether this repair explains to the customer what is no fault.
    pub explains: bool,
    /// Whether this repair puts right what came of the work itself.
    pub consequence: bool,
    /// Hazards of this action.
    pub hazards: Vec<Hazard>,
    /// What became of hands in a linkage at it.
    pub hands: Hands,
}

/// An action that cost much of the total.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Costly {
    /// Its place among the lines.
    pub line: usize,
    /// Points of the total, caps left out.
    pub points: f64,
    /// Those of them that are its share of the mark for time.
    pub time: f64,
    /// Those of them that are its share of the mark for order.
    pub order: f64,
    /// Those of them that are for what was unsafe.
    pub unsafe_points: f64,
}

/// What came of a known good part in a component's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Swapped {
    /// What was read with it in proves the component: with the good part in it worked.
    Proven,
    /// By what was read with it in, it is not that component.
    Cleared,
    /// Nothing was read with it in that says which.
    Open,
}

impl Swapped {
    /// The word used in output.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Proven => "proven",
            Self::Cleared => "cleared",
            Self::Open => "open",
        }
    }
}

/// A known good part that was put in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Swap {
    /// Its place among the lines.
    pub line: usize,
    /// Whose place it took.
    pub part: ComponentId,
    /// What came of it.
    pub came: Swapped,
}

/// Where the minutes of an attempt went, parts among them at the shop's rate:
/// `spent + left = expected + repair + lost + let_pass - saved + luck`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Balance {
    /// To be expected at the start, by the complaint alone.
    pub expected: f64,
    /// What the repair that was needed turned out to take beyond that: it is below zero where a cheap one was needed.
    pub repair: f64,
    /// Lost by decisions.
    pub lost: f64,
    /// Not needed either, but not held against anybody: every position tried once, the driver asked once, a little proof
    /// of what is sure, and what is sound for one who reads more coarsely.
    pub let_pass: f64,
    /// Saved by decisions that were better than the rule's.
    pub saved: f64,
    /// Luck with what was read, good where it is below zero, but for what the needed repair takes.
    pub luck: f64,
    /// Still to be expected at the end.
    pub left: f64,
}

/// The marks, each 0 to 100.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Score {
    /// How near the verdict is, and how well founded each repair was: half and half.
    pub correctness: f64,
    /// How near the verdict is.
    pub concluded: f64,
    /// How well founded the repair was that was founded least; 0 without one.
    pub founded: f64,
    /// Information efficiency of checks and repairs.
    pub order: f64,
    /// Minutes lost against par.
    pub time: f64,
    /// Hazards.
    pub safety: f64,
    /// Verification and write-up.
    pub hand_over: f64,
    /// All together, in whole points.
    pub total: f64,
    /// Points off the total for what was unsafe.
    pub unsafe_points: f64,
    /// Points off the total for what was not seen to in the end.
    pub unseen_points: f64,
}

/// A repair still in question, and the belief in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// The fault most likely to need it.
    pub fault: String,
    /// Belief, 0 to 1.
    pub belief: f64,
}

/// One reading of the route that would have proved the fault.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteStep {
    /// The check, with the setting it needs, in words.
    pub check: String,
    /// Minutes.
    pub minutes: Minutes,
    /// Minutes of the route so far.
    pub so_far: Minutes,
    /// What it shows on this vehicle.
    pub here: String,
    /// What it shows on a sound one.
    pub sound: String,
    /// Repairs still in question afterwards.
    pub suspects: usize,
    /// The likeliest repair afterwards.
    pub likeliest: Option<Trial>,
}

/// A repair, and how likely it is the right one.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The repair in strict words.
    pub repair: String,
    /// Belief, 0 to 1.
    pub belief: f64,
    /// Minutes of the work, access from the route's end included.
    pub minutes: Minutes,
}

/// What the route, or its part for one of two faults, ends with.
#[derive(Clone, Debug, PartialEq)]
pub struct RouteEnd {
    /// How many steps of the route come before it.
    pub after: usize,
    /// Whether the first repair is proven.
    pub proven: bool,
    /// The repairs to try, in their order, until one of them is the right one.
    pub repairs: Vec<Trial>,
}

/// A second fault that was there.
#[derive(Clone, Debug, PartialEq)]
pub struct Second {
    /// What was wrong besides.
    pub fault: Fault,
    /// Its name.
    pub fault_name: String,
    /// Its region.
    pub region: Region,
    /// How near the verdicts came to it.
    pub level: VerdictLevel,
    /// Whether it was put right.
    pub put_right: bool,
}

/// Everything that is told at the end.
#[derive(Clone, Debug, PartialEq)]
pub struct Debrief {
    /// What was wrong; of two faults the main one.
    pub fault: Fault,
    /// Its name, `component.mode` or `component.mode:severity`.
    pub fault_name: String,
    /// Its region.
    pub region: Region,
    /// What was wrong besides.
    pub second: Option<Second>,
    /// What the driver noticed.
    pub symptom: Symptom,
    /// The last verdict.
    pub verdict: Option<Verdict>,
    /// How near the verdicts came: to the fault, or to the one of two that they came nearest to.
    pub level: VerdictLevel,
    /// How near they came to the main fault.
    pub main_level: VerdictLevel,
    /// Whether the main fault was put right.
    pub main_put_right: bool,
    /// Whether the vehicle was put right.
    pub cured: bool,
    /// Components repaired that were sound.
    pub needless_repairs: Vec<ComponentId>,
    /// Components repaired that had been sound until the work itself spoilt them.
    pub consequences: Vec<ComponentId>,
    /// A line for each event.
    pub lines: Vec<CheckLine>,
    /// What cost most of the total, the dearest first, at most three.
    pub costly: Vec<Costly>,
    /// The marks; `None` for an attempt that was given up or coached, or whose fault was chosen.
    pub score: Option<Score>,
    /// Why the total was capped, if it was.
    pub cap: Option<&'static str>,
    /// Band of the total.
    pub band: Option<&'static str>,
    /// Minutes of the reference on this vehicle, repair included.
    pub par: Minutes,
    /// What the mark for time stands on: the par less the repair that is needed, and
    /// [`PAR_CONSTANT_MIN`](super::weights::PAR_CONSTANT_MIN).
    pub time_base: Minutes,
    /// Minutes of the learner.
    pub minutes: Minutes,
    /// Minutes lost by decisions.
    pub lost: Minutes,
    /// Where all minutes went.
    pub balance: Balance,
    /// What was believed at the end, most likely first, at most five.
    pub suspects: Vec<Suspect>,
    /// What was held to be likely on the way, and what the readings said by then.
    pub stated: Vec<Stated>,
    /// Events in which something was held to be likely when by the readings it had been put right: what was believed then
    /// is no measure of it.
    pub stated_late: Vec<usize>,
    /// Known good parts that were put in, and what came of each.
    pub swaps: Vec<Swap>,
    /// Belief in the fault that was there, by what had been seen in the end.
    pub belief_in_truth: f64,
    /// Share of remaining faults that operating the controls after the last repair would have shown.
    pub coverage: f64,
    /// Positions that were not seen after the last repair.
    pub not_seen: Vec<String>,
    /// Parts of the write-up that do not fit, in words.
    pub write_up: Vec<String>,
    /// The cheapest proving route found for this fault.
    pub route: Vec<RouteStep>,
    /// What its parts end with: one for each fault.
    pub route_ends: Vec<RouteEnd>,
}
