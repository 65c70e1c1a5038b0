//! A scenario: which vehicle comes in, what its driver says, under which conditions it is worked on.

use crate::ident::Name;
use crate::quantity::Minutes;
use crate::vehicle::{Component, Mode, Region, Surface};

/// What a driver notices of a wiper system, the most striking first. Worked out by running the
/// vehicle, never from the fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Symptom {
    /// Nothing moves in any position, and no motor is heard to run; it may hum.
    Dead,
    /// The motor is heard to run, the blades stay where they are.
    BladesStill,
    /// LOW does not wipe, HIGH does.
    NoLow,
    /// HIGH does not wipe, LOW does.
    NoHigh,
    /// A speed between LOW and HIGH does not wipe, both of them do.
    NoMedium,
    /// The blades wipe for a while, then stop by themselves.
    CutsOut,
    /// The blades wipe at one try and not at another.
    NowAndThen,
    /// The blades go on after the switch is off.
    RunsOn,
    /// The blades stop wherever they are when the switch is off.
    DoesNotPark,
    /// The blades wipe, but slowly.
    Slow,
    /// The blades wipe faster than they should.
    TooFast,
    /// At intervals the blades wipe too little, too much or not at all.
    NoInterval,
    /// The washer brings too little water, or none.
    NoWash,
    /// One blade stays while the other wipes.
    OneBladeStill,
    /// The blades leave streaks.
    Streaks,
    /// The wipers knock.
    Knocks,
}

impl Symptom {
    /// All symptoms, the most striking first.
    pub const ALL: [Self; 16] = [
        Self::Dead,
        Self::BladesStill,
        Self::NoLow,
        Self::NoHigh,
        Self::NoMedium,
        Self::CutsOut,
        Self::NowAndThen,
        Self::RunsOn,
        Self::DoesNotPark,
        Self::Slow,
        Self::TooFast,
        Self::NoInterval,
        Self::NoWash,
        Self::OneBladeStill,
        Self::Streaks,
        Self::Knocks,
    ];

    /// The word used in files and commands.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Dead => "dead",
            Self::BladesStill => "blades-still",
            Self::NoLow => "no-low",
            Self::NoHigh => "no-high",
            Self::NoMedium => "no-medium",
            Self::CutsOut => "cuts-out",
            Self::NowAndThen => "now-and-then",
            Self::RunsOn => "runs-on",
            Self::DoesNotPark => "does-not-park",
            Self::Slow => "slow",
            Self::TooFast => "too-fast",
            Self::NoInterval => "no-interval",
            Self::NoWash => "no-wash",
            Self::OneBladeStill => "one-blade-still",
            Self::Streaks => "streaks",
            Self::Knocks => "knocks",
        }
    }

    /// The symptom with this word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|symptom| symptom.word() == word)
    }
}

/// The state of the glass, which decides the friction of the blades.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Glass {
    /// Dry.
    Dry,
    /// Wet.
    Wet,
    /// Under streaming water.
    Streaming,
}

impl Glass {
    /// The word used in files and on screen.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Dry => "dry",
            Self::Wet => "wet",
            Self::Streaming => "streaming",
        }
    }

    /// The state with this word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Dry, Self::Wet, Self::Streaming]
            .into_iter()
            .find(|glass| glass.word() == word)
    }

    /// Coefficient of friction of rubber on this glass (judgement within the ranges of the tribology
    /// literature: dry 0.8 to 1.5, wet 0.1 to 0.7; from memory).
    #[must_use]
    pub const fn friction(self) -> f64 {
        match self {
            Self::Dry => 1.0,
            Self::Wet => 0.5,
            Self::Streaming => 0.2,
        }
    }

    /// Coefficient of friction on a windscreen in this weather, `wetted` from the can or not. Water wets
    /// dry glass for a while; on ice it freezes, and helps nothing (judgement).
    #[must_use]
    pub fn friction_on(self, surface: Surface, wetted: bool) -> f64 {
        match surface {
            Surface::AsWeather if wetted && self == Self::Dry => Self::Wet.friction(),
            Surface::AsWeather => self.friction(),
            Surface::Dry { .. } if wetted => Self::Wet.friction(),
            Surface::Dry { friction } | Surface::Iced { friction } => friction,
        }
    }
}

/// Which faults may be drawn: a region, a component, or one mode of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Selector {
    /// All faults of a region.
    Region(Region),
    /// All faults of a component.
    Component(Name),
    /// One mode of a component.
    Mode(Name, Name),
}

impl Selector {
    /// Whether it selects a mode of a component.
    #[must_use]
    pub fn selects(&self, component: &Component, mode: &Mode) -> bool {
        match self {
            Self::Region(region) => component.region_of(mode) == *region,
            Self::Component(id) => component.id == *id,
            Self::Mode(id, name) => component.id == *id && mode.name == *name,
        }
    }
}

/// A scenario.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// Its id.
    pub id: Name,
    /// Its title.
    pub title: String,
    /// What it is to teach.
    pub objective: String,
    /// What it exercises.
    pub skills: Vec<String>,
    /// The vehicle's id.
    pub vehicle: Name,
    /// Which unit of the fleet came in.
    pub unit: String,
    /// What is known of it.
    pub history: String,
    /// The weather, for the first screen.
    pub weather: String,
    /// The state of the glass.
    pub glass: Glass,
    /// Whether it rains steadily for as long as the vehicle is worked on.
    pub rain: bool,
    /// What else the windscreen may be in this weather: failure modes of it, `iced` or `dry`.
    pub windscreen: Vec<Name>,
    /// What the driver says for each symptom; faults with other symptoms are not drawn.
    pub complaints: Vec<(Symptom, String)>,
    /// Which faults may be drawn; empty for all that are faults.
    pub pool: Vec<Selector>,
    /// How many faults a vehicle comes in with: 1 or 2.
    pub faults: u32,
    /// Whether a helper is at hand.
    pub helper: bool,
    /// Minutes allowed.
    pub allowance: Minutes,
    /// Price of one minute, units of account: turns prices into minutes.
    pub shop_rate: f64,
}

impl Scenario {
    /// Whether a mode can be on this day: what needs its weather, only where the scenario says so.
    #[must_use]
    pub fn can_bring(&self, mode: &Mode) -> bool {
        !mode.needs_weather() || self.windscreen.contains(&mode.name)
    }

    /// What the driver says of a symptom; `None` when this scenario does not bring it.
    #[must_use]
    pub fn complaint(&self, symptom: Symptom) -> Option<&str> {
        self.complaints
            .iter()
            .find(|(brought, _)| *brought == symptom)
            .map(|(_, text)| text.as_str())
    }
}
