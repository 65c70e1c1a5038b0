//! What opens by its own heat: breakers and links of the vehicle, fuses of leads on it.

use super::super::decay::whole_step;
use super::super::leads::{Fused, Lead};
use super::super::tally::{Step, Tally};
use super::regime::Regime;
use super::{Motion, STEP_S};
use crate::machines::Bimetal;
use crate::math;
use crate::quantity::{Current, Interval};
use crate::vehicle::{ComponentId, TripData};

/// How warm the case of a breaker feels that is about to trip, as the watts of a joint that feels as warm: warm from a
/// third of that on, and not hot yet (judgement: its bimetal is some 80 K hotter than the air, its case a third of that).
const TRIP_FELT_W: f64 = 4.5;

/// What a protection protects.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Protects {
    /// A component's only path.
    Component(ComponentId),
    /// A fused lead, by its place among them.
    Lead(usize),
}

/// Heat and state of a breaker, a link or a fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct BreakerState {
    pub(super) of: Protects,
    pub(super) data: TripData,
    pub(super) law: Bimetal,
    /// Share of its distance to the final heat that is left after a whole step.
    pub(super) kept: f64,
    pub(super) heat: f64,
}

impl BreakerState {
    pub(super) fn new(of: Protects, data: TripData, heat: f64) -> Self {
        Self {
            of,
            data,
            law: Bimetal {
                ultimate: data.ultimate,
                time_constant: data.time_constant,
            },
            kept: math::exp(-STEP_S / data.time_constant.seconds()),
            heat,
        }
    }
}

impl Motion {
    /// Puts fused leads on the circuit, in place of those that were on it. One that stays in its place keeps
    /// the heat of its fuse, and a fuse that has blown stays blown.
    pub(crate) fn connect_leads(&mut self, leads: &[Fused]) {
        let stays = |(place, fused): &(usize, &Fused)| {
            self.leads
                .get(*place)
                .is_some_and(|lead| lead.fused == **fused)
        };
        let kept = leads.iter().enumerate().take_while(stays).count();
        if kept == leads.len() && kept == self.leads.len() {
            return;
        }
        self.leads.truncate(kept);
        self.breakers
            .retain(|breaker| !matches!(breaker.of, Protects::Lead(place) if place >= kept));
        for (place, fused) in leads.iter().enumerate().skip(kept) {
            self.leads.push(Lead {
                fused: *fused,
                blown: false,
            });
            self.breakers
                .push(BreakerState::new(Protects::Lead(place), fused.fuse, 0.0));
        }
        self.responses.clear();
    }

    /// Whether the fuse of each lead has blown.
    pub(crate) fn blown(&self) -> Vec<bool> {
        self.leads.iter().map(|lead| lead.blown).collect()
    }

    /// Blows the fuse of a lead, or puts new ones in all of them.
    pub(crate) fn blow(&mut self, place: usize) {
        self.leads[place].blown = true;
        self.responses.clear();
    }

    /// Puts new fuses in all leads.
    pub(crate) fn renew_fuses(&mut self) {
        for lead in &mut self.leads {
            lead.blown = false;
        }
        for breaker in &mut self.breakers {
            if matches!(breaker.of, Protects::Lead(_)) {
                breaker.heat = 0.0;
            }
        }
        self.responses.clear();
    }

    /// Heat of a component's protection and whether it has opened.
    pub(crate) fn protection(&self, component: ComponentId) -> (f64, bool) {
        let of = Protects::Component(component);
        let heat = self.breakers.iter().find(|breaker| breaker.of == of);
        (
            heat.map_or(0.0, |breaker| breaker.heat),
            self.setting.tripped[component.index()],
        )
    }

    /// What a hand makes of the bimetal of a component's breaker, as the watts of a joint that feels as warm; nothing
    /// for what has none. It keeps the heat of what it carried while it is open.
    pub(crate) fn bimetal_felt(&self, component: ComponentId) -> f64 {
        let of = Protects::Component(component);
        let mut bimetals = self.breakers.iter();
        let bimetal = bimetals.find(|breaker| breaker.of == of && breaker.data.reclose.is_some());
        bimetal.map_or(0.0, |breaker| TRIP_FELT_W * breaker.heat)
    }

    /// Gives a component's protection this heat, opened or not, as when an old part is put back.
    pub(crate) fn put_protection(&mut self, component: ComponentId, (heat, tripped): (f64, bool)) {
        let of = Protects::Component(component);
        for breaker in self.breakers.iter_mut().filter(|breaker| breaker.of == of) {
            breaker.heat = heat;
            self.setting.tripped[component.index()] = tripped;
        }
    }

    /// Time until a breaker opens or closes, a winding burns or a value of the circuit moves while the speed stays as it is, at most `left`.
    pub(super) fn until_event(&self, regime: &Regime, left: f64) -> f64 {
        let mut seconds = left;
        for (breaker, current) in self.breakers.iter().zip(&regime.breakers) {
            let tripped = self.is_open(breaker.of);
            let level = if tripped {
                breaker.data.reclose
            } else {
                Some(1.0)
            };
            let current = Current::from_amperes(current.at(self.speed_seen()));
            let time = level.and_then(|level| breaker.law.time_to(level, breaker.heat, current));
            if let Some(time) = time {
                seconds = seconds.min(time.seconds());
            }
        }
        let seconds = self
            .windings
            .until_burnt(&regime.losses, self.speed_seen(), seconds);
        self.until_strayed(regime, seconds)
    }

    /// Whether a breaker is as hot as one that goes on opening and closing.
    pub(crate) fn beats(&self) -> bool {
        let hot = |breaker: &BreakerState| {
            let reclose = breaker.data.reclose;
            reclose.is_some_and(|reclose| breaker.heat >= 0.9 * reclose)
        };
        self.breakers.iter().any(hot)
    }

    pub(super) fn is_open(&self, of: Protects) -> bool {
        match of {
            Protects::Component(component) => self.setting.tripped[component.index()],
            Protects::Lead(place) => self.leads[place].blown,
        }
    }

    /// Carries the breakers' heat over a step and lets them open or close; whether one did.
    pub(super) fn heat(&mut self, regime: &Regime, step: &Step, tally: &mut Tally) -> bool {
        let speed = step.mean_seen;
        let span = Interval::from_seconds(step.seconds);
        let whole = whole_step(step.seconds);
        let mut moved = false;
        for (breaker, current) in self.breakers.iter_mut().zip(&regime.breakers) {
            let current = Current::from_amperes(current.at(speed));
            breaker.heat = if whole {
                let goal = breaker.law.final_heat(current);
                goal + (breaker.heat - goal) * breaker.kept
            } else {
                breaker.law.after(breaker.heat, current, span)
            };
            let tripped = match breaker.of {
                Protects::Component(component) => &mut self.setting.tripped[component.index()],
                Protects::Lead(place) => &mut self.leads[place].blown,
            };
            // The margin lets a leap that ends exactly on the level count as having reached it.
            let moves = match breaker.data.reclose {
                Some(reclose) if *tripped => breaker.heat <= reclose + 1e-12,
                None if *tripped => false,
                _ => breaker.heat >= 1.0 - 1e-12,
            };
            if moves {
                *tripped = !*tripped;
                moved = true;
                if matches!(breaker.of, Protects::Lead(_)) {
                    self.responses.clear();
                }
                // A bimetal clicks; a link melts without a sound.
                tally.span.clicks += u32::from(breaker.data.reclose.is_some());
            }
        }
        moved
    }
}

#[cfg(test)]
mod tests {
    use crate::vehicle::Kind;
    use crate::world::testing::van;
    use crate::world::{Errors, Observation};

    /// A hand does not find a breaker cold that has cycled against a stalled motor, not even while it stands open.
    #[test]
    fn a_breaker_that_cycles_feels_warm_and_one_that_carries_little_does_not() {
        for (fault, minutes, felt) in [(Some("left-pivot.seized"), 2, "warm"), (None, 2, "cold")] {
            let mut world = van(fault);
            let breaker = world.vehicle().ids();
            let mut breaker = breaker
                .filter(|id| matches!(world.vehicle().component(*id).kind, Kind::Breaker(_)));
            let name = breaker
                .next()
                .map(|id| world.vehicle().component(id).id.to_string());
            let mut act = |words: &str| crate::world::testing::act(&mut world, words);
            act("set ignition-switch on");
            act("set wiper-switch low");
            act(&format!("wait {}", 60 * minutes));
            let mut words = Vec::new();
            for _ in 0..4 {
                let seen = act(&format!("feel {}", name.as_ref().unwrap()));
                if let Observation::Perception { word, .. } = seen[0].observe(Errors::NONE) {
                    words.push(word);
                }
            }
            assert_eq!(words, [felt; 4], "{fault:?}");
        }
    }
}
