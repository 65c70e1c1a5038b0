//! The failure modes of what protects and switches: links, breakers, fuses, switches and their resistors, relays,
//! interval units, diodes; and of what washes.

use super::PriorGroup;
use super::effect::Effect;
use super::modes::{CLOSED_SHARE, HIGH_SHARE, INTERMITTENT_SHARE, Modes, OPEN_SHARE, SHORT_SHARE};
use crate::quantity::{Current, Interval, Resistance};
use crate::vehicle::loose::Weakness;
use crate::vehicle::severity::{
    BRUSH_OHMS, COIL_OHMS, COIL_SHARE, FAST_TIMER, FLOW_SHARE, FUSE_LARGE, FUSE_SMALL, PUMP_OHMS,
    SLOW_TIMER, WEAK_AMPERES, resistor_ohms,
};
use crate::vehicle::{
    Component, Emf, Gate, IntervalData, Kind, OPEN, Region, RelayData, SLIDER, TRACK, TRACK_AT,
    TripData,
};

/// Ratings of blade fuses, amperes [ISO 8820-3].
const RATINGS_A: [f64; 11] = [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0];

/// Resistance of a diode that has broken down, ohms (judgement).
const BROKEN_DOWN: Resistance = Resistance::from_ohms(0.02);

/// Current that welded contacts carry: more than any battery gives.
const WELDED_HOLDS: Current = Current::from_amperes(1e5);

/// Resistance of a small motor that is held, in terms of what it is like when it runs (judgement).
const STALLED: f64 = 0.35;

/// Shares within a relay's or a unit's failures (judgement): coils break, contacts burn or weld, timers drift.
const COIL_BREAKS: f64 = 25.0;
const BURNT_SHARE: f64 = 25.0;
const WELDED_SHARE: f64 = 15.0;
const TIMER_SHARE: f64 = 10.0;

/// What a mode does to something that switches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Switching {
    /// The fuse is one of a rating near the severity.
    WrongFuse,
    /// The relay's working contact is welded: its armature stays pulled.
    Welded,
    /// The unit's times are the severity times as long.
    Timer,
    /// The diode conducts both ways.
    BrokenDown,
    /// The diode is fitted the wrong way round.
    Reversed,
    /// The hose lets the severity through, as a share of its water.
    Flow,
    /// The severity is the share of the turns of a relay's coil that are shorted.
    ShortedCoil,
    /// The relay is one for twice the voltage.
    WrongRelay,
    /// The breaker never opens.
    NeverOpens,
    /// The pump's rotor is held: it draws what its winding lets through, and moves no water.
    Seized,
}

impl Switching {
    pub(super) fn apply(self, component: &mut Component, severity: f64) {
        match (self, &mut component.kind) {
            (Self::WrongFuse, Kind::Fuse(data)) => {
                *data = TripData::blade_fuse(Current::from_amperes(nearest_rating(severity)));
            }
            (Self::Welded, _) => {
                for path in &mut component.paths {
                    match path.gate {
                        Gate::Relay { pulled: true } => path.gate = Gate::Always,
                        Gate::Relay { pulled: false } => {
                            path.gate = Gate::Always;
                            path.resistance = OPEN;
                        }
                        _ => {}
                    }
                }
            }
            (Self::Timer, Kind::IntervalUnit(data)) => {
                let times = |span: Interval| Interval::from_seconds(span.seconds() * severity);
                (data.pulse, data.pause) = (times(data.pulse), times(data.pause));
            }
            (Self::BrokenDown, _) => {
                for path in &mut component.paths {
                    (path.gate, path.emf) = (Gate::Always, Emf::None);
                    path.resistance = BROKEN_DOWN;
                }
            }
            (Self::Reversed, _) => {
                for path in &mut component.paths {
                    std::mem::swap(&mut path.p, &mut path.n);
                }
            }
            (Self::Flow, Kind::Hose { flow }) => *flow = severity,
            (Self::ShortedCoil, Kind::Relay(data)) => {
                // Fewer turns pull as hard at more current.
                let left = 1.0 - severity;
                data.pull_in = data.pull_in / left;
                data.drop_out = data.drop_out / left;
                let coil = &mut component.paths[RelayData::COIL];
                coil.resistance = coil.resistance * left;
            }
            (Self::WrongRelay, Kind::Relay(data)) => {
                // Twice the turns in wire half as thick: the same ampere turns at half the current.
                data.pull_in = data.pull_in * 0.5;
                data.drop_out = data.drop_out * 0.5;
                let coil = &mut component.paths[RelayData::COIL];
                coil.resistance = coil.resistance * 4.0;
            }
            (Self::NeverOpens, Kind::Breaker(data)) => data.ultimate = WELDED_HOLDS,
            (Self::Seized, Kind::Pump(data)) => {
                data.seized = true;
                let winding = &mut component.paths[0];
                winding.resistance = winding.resistance * STALLED;
            }
            // A mode is only ever made for the kind that it changes.
            _ => {}
        }
    }
}

/// The rating of a blade fuse that comes nearest to a current, amperes.
fn nearest_rating(amperes: f64) -> f64 {
    let nearer = |one: f64, other: f64| {
        if (other - amperes).abs() < (one - amperes).abs() {
            other
        } else {
            one
        }
    };
    RATINGS_A.into_iter().fold(RATINGS_A[0], nearer)
}

impl Modes<'_> {
    pub(super) fn breaker(&mut self) {
        let open = Effect::Open { path: 0 };
        let group = |share| (PriorGroup::Switches, share);
        self.add("open", None, &["replace"], group(OPEN_SHARE), open);
        let weak = Effect::WeakBreaker;
        let law = Some(WEAK_AMPERES);
        self.add("weak", law, &["replace"], group(HIGH_SHARE), weak);
        self.high_resistance("high-resistance", PriorGroup::Switches, &["replace"], 0);
        let welded = Effect::Switching(Switching::NeverOpens);
        self.add("welded", None, &["replace"], group(SHORT_SHARE), welded);
    }

    /// A fusible link, or a meter in the feed.
    pub(super) fn link(&mut self) {
        self.joint("", PriorGroup::Links, &["replace"], 0);
    }

    pub(super) fn fuse(&mut self) {
        let links = |share| (PriorGroup::Links, share);
        let open = Effect::Open { path: 0 };
        self.add("blown", None, &["replace"], links(OPEN_SHARE), open);
        self.high_resistance("clips-high-resistance", PriorGroup::Links, &["mend"], 1);
        let wrong = Effect::Switching(Switching::WrongFuse);
        for (name, law) in [("too-small", FUSE_SMALL), ("too-large", FUSE_LARGE)] {
            self.add(name, Some(law), &["replace"], links(SHORT_SHARE), wrong);
        }
        let group = links(INTERMITTENT_SHARE);
        self.weak("clips", group, 1, Weakness::Terminal, &["mend"]);
    }

    pub(super) fn resistor(&mut self) {
        for (path, step) in self.component.paths.iter().enumerate() {
            let group = |share| (PriorGroup::Switches, share);
            let (open, high) = (
                format!("{}-open", step.name),
                format!("{}-high-resistance", step.name),
            );
            let cure = &["replace"];
            let parts = Effect::Open { path };
            self.add(&open, None, cure, group(OPEN_SHARE), parts);
            let law = Some(resistor_ohms(step.resistance));
            let added = Effect::Added { path };
            self.add(&high, law, cure, group(HIGH_SHARE), added);
        }
    }

    pub(super) fn switch(&mut self) {
        for (path, contact) in self.component.paths.iter().enumerate() {
            if self.rheostat(path) {
                continue;
            }
            self.joint(
                contact.name.as_str(),
                PriorGroup::Switches,
                &["replace"],
                path,
            );
            if matches!(contact.gate, Gate::Position(_)) {
                let name = format!("{}-stuck-closed", contact.name);
                let group = (PriorGroup::Switches, CLOSED_SHARE);
                self.add(&name, None, &["replace"], group, Effect::Closed { path });
            }
            if self.component.region == Region::Supply {
                let how = Weakness::Worn;
                let (mode, law) = how.told();
                let name = format!("{}-{mode}", contact.name);
                let group = (PriorGroup::Switches, INTERMITTENT_SHARE);
                let effect = Effect::Weak { path, how };
                self.add(&name, Some(law), &["replace"], group, effect);
            }
        }
    }

    /// The parts of a rheostat; whether the path is one.
    fn rheostat(&mut self, path: usize) -> bool {
        let name = self.component.paths[path].name.as_str();
        let group = |share: f64| (PriorGroup::Switches, share);
        let cure = &["replace"];
        if name == SLIDER {
            let worn = Effect::Added { path };
            self.add(
                "slider-worn",
                Some(BRUSH_OHMS),
                cure,
                group(HIGH_SHARE),
                worn,
            );
        } else if name.starts_with(TRACK) {
            let open = format!("{name}-open");
            self.add(&open, None, cure, group(OPEN_SHARE), Effect::Open { path });
        } else if name.starts_with(TRACK_AT) {
            let dead = format!("{name}-dead");
            self.add(
                &dead,
                None,
                cure,
                group(CLOSED_SHARE),
                Effect::Open { path },
            );
        } else {
            return false;
        }
        true
    }

    /// Paths of a relay: coil, 87, 87a.
    pub(super) fn relay(&mut self) {
        let group = |share| (PriorGroup::Switches, share);
        let cure = &["replace"];
        let path = RelayData::COIL;
        self.add(
            "coil-open",
            None,
            cure,
            group(COIL_BREAKS),
            Effect::Open { path },
        );
        let added = Effect::Added { path };
        let law = Some(COIL_OHMS);
        self.add("coil-high-resistance", law, cure, group(TIMER_SHARE), added);
        let shorted = Effect::Switching(Switching::ShortedCoil);
        let law = Some(COIL_SHARE);
        self.add("coil-shorted", law, cure, group(SHORT_SHARE), shorted);
        let wrong = Effect::Switching(Switching::WrongRelay);
        let earlier = (PriorGroup::EarlierRepair, OPEN_SHARE);
        self.add("wrong-relay", None, cure, earlier, wrong);
        let welded = Effect::Switching(Switching::Welded);
        self.add("87-welded", None, cure, group(WELDED_SHARE), welded);
        for (name, path) in [("87", 1), ("87a", 2)] {
            let open = Effect::Open { path };
            let named = format!("{name}-open");
            self.add(&named, None, cure, group(BURNT_SHARE), open);
            let named = format!("{name}-high-resistance");
            self.high_resistance(&named, PriorGroup::Switches, &["replace"], path);
        }
    }

    pub(super) fn interval_unit(&mut self) {
        let group = |share| (PriorGroup::Switches, share);
        let cure = &["replace"];
        for (name, path) in [
            ("output-open", IntervalData::OUTPUT),
            ("supply-open", IntervalData::SUPPLY),
            ("i-open", IntervalData::INTERVAL),
            ("53c-open", IntervalData::WASH),
        ] {
            let open = Effect::Open { path };
            self.add(name, None, cure, group(BURNT_SHARE), open);
        }
        let path = IntervalData::OUTPUT;
        let closed = Effect::Closed { path };
        self.add(
            "output-stuck-closed",
            None,
            cure,
            group(WELDED_SHARE),
            closed,
        );
        let timer = Effect::Switching(Switching::Timer);
        for (name, law) in [("timer-slow", SLOW_TIMER), ("timer-fast", FAST_TIMER)] {
            self.add(name, Some(law), cure, group(TIMER_SHARE), timer);
        }
    }

    /// One that has lost its way or conducts both ways. One that is open does nothing to a circuit without
    /// inductance, but to a meter's diode range.
    pub(super) fn diode(&mut self) {
        let group = |share| (PriorGroup::Switches, share);
        let cure = &["replace"];
        let open = Effect::Open { path: 0 };
        self.add("open", None, cure, group(OPEN_SHARE), open);
        for (name, how) in [
            ("shorted", Switching::BrokenDown),
            ("wrong-way-round", Switching::Reversed),
        ] {
            let effect = Effect::Switching(how);
            self.add(name, None, cure, group(TIMER_SHARE), effect);
        }
    }

    pub(super) fn pump(&mut self) {
        let group = |share| (PriorGroup::Washer, share);
        let cure = &["replace"];
        let (open, worn) = (Effect::Open { path: 0 }, Effect::Added { path: 0 });
        self.add("open", None, cure, group(OPEN_SHARE), open);
        self.add("worn", Some(PUMP_OHMS), cure, group(HIGH_SHARE), worn);
        let seized = Effect::Switching(Switching::Seized);
        self.add("seized", None, cure, group(CLOSED_SHARE), seized);
    }

    pub(super) fn hose(&mut self) {
        let group = |share| (PriorGroup::Washer, share);
        let cure = &["mend"];
        let flow = Effect::Switching(Switching::Flow);
        self.add("leaks", Some(FLOW_SHARE), cure, group(HIGH_SHARE), flow);
        // Severity is nothing where a mode has none: no water at all.
        self.add("blocked", None, cure, group(OPEN_SHARE), flow);
    }
}
