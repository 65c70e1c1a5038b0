//! Weaknesses that show now and then: what disturbs a path that is sound at rest, and what it does then.

use super::severity::{PARTED_SHARE, SeverityLaw, WARM_MINUTES, WET_OHMS};
use super::{ComponentId, OPEN, Path, Point, Vehicle};
use crate::quantity::{Interval, Length, Resistance};

/// What a path gives way to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Loose {
    /// Shaking: it parts in bouts.
    Shaken {
        /// Share of the time for which it is parted while the running motor shakes it.
        share: f64,
        /// How far it gives when it is pulled.
        play: Length,
    },
    /// Warmth: it opens after so long a run of the motor from cold, and closes when it has cooled.
    Warm {
        /// Running time from cold until it opens.
        after: Interval,
    },
    /// Water: its far end leaks to the body while water runs over it.
    Wet {
        /// Resistance of the leak.
        leak: Resistance,
    },
}

impl Loose {
    /// Whether the path is open when it has given way; else it leaks.
    #[must_use]
    pub const fn opens(&self) -> bool {
        !matches!(self, Self::Wet { .. })
    }

    /// Its leak to the body when it has given way.
    #[must_use]
    pub const fn leak(&self) -> Option<Resistance> {
        match self {
            Self::Wet { leak } => Some(*leak),
            _ => None,
        }
    }
}

/// A way in which a path can be weak; the severity of a fault says how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Weakness {
    /// A terminal that sits loose in its housing.
    Terminal,
    /// A wire broken inside its insulation, which holds the ends together.
    BrokenInside,
    /// A screw or nut that is not tight.
    Screw,
    /// A contact that lets go when it is warm.
    OpensWarm,
    /// Dirt and salt that conduct when wet.
    LeaksWet,
    /// A contact worn so that it parts when it is shaken.
    Worn,
}

impl Weakness {
    /// What a path gives way to, by the severity of the fault. How far things give is judgement.
    pub(super) const fn at(self, severity: f64) -> Loose {
        let play = match self {
            Self::Terminal => 15e-3,
            Self::BrokenInside => 6e-3,
            Self::Screw => 2e-3,
            Self::Worn => 1e-3,
            Self::OpensWarm => {
                let after = Interval::from_seconds(severity * 60.0);
                return Loose::Warm { after };
            }
            Self::LeaksWet => {
                let leak = Resistance::from_ohms(severity);
                return Loose::Wet { leak };
            }
        };
        Loose::Shaken {
            share: severity,
            play: Length::from_metres(play),
        }
    }

    /// Name of the mode and spread of its severities.
    pub(super) const fn told(self) -> (&'static str, SeverityLaw) {
        match self {
            Self::Terminal | Self::Screw => ("loose", PARTED_SHARE),
            Self::BrokenInside => ("broken-inside", PARTED_SHARE),
            Self::OpensWarm => ("opens-warm", WARM_MINUTES),
            Self::LeaksWet => ("leaks-wet", WET_OHMS),
            Self::Worn => ("intermittent", PARTED_SHARE),
        }
    }
}

/// Share of the time for which a spread contact is parted while the motor shakes it (judgement).
const SPREAD_SHARE: f64 = 0.3;

impl Vehicle {
    /// Spreads the contact at a connector's terminal, unless it is loose already.
    pub(crate) fn spread(&mut self, at: Point) {
        let node = self.node(at);
        let paths = &mut self.components[at.component.0].paths;
        for path in paths
            .iter_mut()
            .filter(|path| path.p == node || path.n == node)
        {
            path.loose
                .get_or_insert(Weakness::Terminal.at(SPREAD_SHARE));
        }
    }

    /// Leaves pins out of their plug: they are open, and give as they did, until they are mended.
    pub(crate) fn pull_out(&mut self, pins: &[(ComponentId, usize)]) {
        for &(component, path) in pins {
            self.components[component.0].paths[path].resistance = OPEN;
        }
    }

    /// Whether a path gives way to something.
    pub(crate) fn gives_way(&self, to: impl Fn(&Loose) -> bool) -> bool {
        self.loose_paths().any(|(.., loose)| to(&loose))
    }

    /// The paths that can give way, in the order of components and paths.
    pub fn loose_paths(&self) -> impl Iterator<Item = (ComponentId, usize, &Path, Loose)> {
        self.ids().flat_map(move |id| {
            let paths = self.component(id).paths.iter().enumerate();
            paths.filter_map(move |(index, path)| path.loose.map(|loose| (id, index, path, loose)))
        })
    }
}
