//! What eyes, ears and hands tell of a running vehicle.

use super::action::Sense;
use super::motion::{Handling, Probe};
use super::observation::{Observable, Quantity, Scale};
use super::scales::{
    ARM_TORQUE, BLADE_FORCE, BLADES, CLICKS, COUNT, DASH, FOLLOWS, GLASS, HELD_NM, HUM, KNOCK,
    PACE, PITCH, RELAYS, REST_SEEN, SAG, STRENGTH, SWEPT_NM, WARMTH, WIPES,
};
use super::tally::{Span, Trace};
use super::{
    BUSHING_TIME_S, COUNT_WINDOW_S, LOOK_WINDOW_S, SENSE_WINDOW_S, TRY_WINDOW_S, World, seconds,
};
use crate::math;
use crate::network::SolveError;
use crate::quantity::{Angle, Minutes};
use crate::scenario::Glass;
use crate::vehicle::{ComponentId, DriveTrain, Emf, Kind, PivotLoad, Surface};

/// Wipes at a time of what goes on without a pause.
const GOING_ON: f64 = 9.0;
/// More moves of relays than these are one noise.
const RELAYS_HEARD: u32 = 50;
/// End of the dash ammeter's scale, amperes.
const DASH_END_A: f64 = 59.0;

impl World {
    pub(super) fn sense(
        &mut self,
        sense: Sense,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let name = |world: &Self, id: ComponentId| world.vehicle.component(id).id.to_string();
        match sense {
            Sense::LookBlades => self.look_at_blades(minutes),
            Sense::LookLinkage => {
                let span = self.watch(minutes, LOOK_WINDOW_S, &[], None)?;
                let adrift = self.adrift();
                Ok(std::iter::once(follows(&span)).chain(adrift).collect())
            }
            Sense::Listen => self.listen(minutes),
            Sense::Feel(motor) if matches!(self.vehicle.component(motor).kind, Kind::Motor(_)) => {
                Ok(vec![self.feel_motor(motor, minutes)?])
            }
            Sense::Feel(component) => {
                let watts = self.warmth(component, minutes)?;
                let subject = name(self, component);
                let touched = self.touched(component);
                let warmth =
                    Observable::steady(Quantity::Warmth, subject, watts, Scale::Words(WARMTH));
                Ok(touched.map_or_else(|| vec![warmth], |touched| vec![touched]))
            }
            Sense::LookAt(part)
                if matches!(self.vehicle.component(part).kind, Kind::Windscreen(_)) =>
            {
                self.spend(minutes, None)?;
                self.wash()?;
                let spray = self.spray()?;
                Ok(self.touched(part).into_iter().chain(spray).collect())
            }
            Sense::Smell(component) => self.smell(component, minutes),
            Sense::LookAt(component) => self.look_at(component, minutes),
            Sense::Ammeter => {
                let Some(ammeter) = self.ammeter() else {
                    return Ok(Vec::new());
                };
                let span = self.needle_read(ammeter, minutes)?;
                Ok(vec![self.discharge(ammeter, span.traces[0])])
            }
            Sense::Count => {
                let span = self.watch(minutes, COUNT_WINDOW_S, &[], None)?;
                Ok(vec![count(&span)])
            }
            Sense::Try(consumer) => self.try_consumer(consumer, minutes),
        }
    }

    /// The dash ammeter, if the vehicle has one.
    pub(super) fn ammeter(&self) -> Option<ComponentId> {
        self.vehicle
            .ids()
            .find(|&id| matches!(self.vehicle.component(id).kind, Kind::Ammeter))
    }

    /// Watches the blades for as long as one looks. Where they rest is told when they stood for the end of that.
    pub(super) fn look_at_blades(
        &mut self,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let total = seconds(minutes);
        let window = LOOK_WINDOW_S.min(total);
        let last = match self.at_intervals() {
            // One wipe and its pause take that long.
            true => window,
            false => SENSE_WINDOW_S.min(window),
        };
        self.pass(total - window, None)?;
        let handling = self.handling(None);
        let first = self.run(window - last, &[], &handling)?;
        let span = self.run(last, &[], &handling)?;
        self.has_taken(minutes);
        let mut seen = self.blades_watched(&span);
        also_before(&mut seen, &first, &span);
        Ok(seen)
    }

    pub(super) fn blades_watched(&self, span: &Span) -> Vec<Observable> {
        let blades = "blades".to_owned();
        let first = if self.at_intervals() {
            Observable::steady(
                Quantity::Wipes,
                blades,
                wipes_at_a_time(span),
                Scale::Words(WIPES),
            )
        } else {
            let pace = span.crank_turns * 60.0 / span.seconds;
            Observable::steady(Quantity::Pace, blades, pace, Scale::Words(PACE))
        };
        let mut seen = vec![first];
        seen.extend(self.evenness(span));
        if span.crank_turns != 0.0 {
            seen.extend(self.seen_going(span));
        } else {
            let millimetres = self.off_rest_mm();
            seen.push(Observable::steady(
                Quantity::Rest,
                "blades".to_owned(),
                millimetres,
                Scale::Words(REST_SEEN),
            ));
        }
        seen
    }

    /// Whether the switch stands at intervals.
    pub(super) fn at_intervals(&self) -> bool {
        let roles = self.sound.roles();
        roles.is_some_and(|roles| {
            let stands = self.motion.setting.positions[roles.wiper.index()];
            roles.interval == Some(stands)
        })
    }

    /// How far the first blade's tip, or that of a blade that was fitted elsewhere, is from its resting place, along the
    /// arc, millimetres.
    pub(super) fn off_rest_mm(&self) -> f64 {
        let Some(drive) = &self.drive else { return 0.0 };
        let rest = drive.pose(drive.park(), drive.parked()).rocker_angle();
        let now = drive
            .pose(self.motion.crank(), self.motion.release())
            .rocker_angle();
        // The first blade stands for all of them, but for those that were fitted elsewhere.
        // A pivot without its arm does not tell how that would stand on it.
        let bare = self.bench.arms_off(&self.vehicle);
        let astray = |load: &PivotLoad| if bare { Angle::ZERO } else { load.astray };
        let told = drive.pivots.iter().enumerate();
        let told = told.filter(|(place, load)| *place == 0 || astray(load) != Angle::ZERO);
        told.map(|(_, load)| {
            let off = (now - rest + astray(load)).radians().abs();
            off * load.data.tip.metres() * 1000.0
        })
        .fold(0.0, f64::max)
    }

    pub(super) fn blades(&self, span: &Span) -> Observable {
        let off = self.off_rest_mm();
        let state = if span.crank_turns > 0.0 {
            3.0
        } else if off > REST_SEEN.cuts[1] {
            2.0
        } else if off > REST_SEEN.cuts[0] {
            1.0
        } else {
            0.0
        };
        Observable::steady(
            Quantity::Blades,
            "blades".to_owned(),
            state,
            Scale::Words(BLADES),
        )
    }

    /// Probes on the resistive paths of the motor: what its brushes carry.
    pub(super) fn brush_probes(&self) -> Vec<Probe> {
        let motor = self.motor();
        let paths = motor.map_or(&[][..], |motor| &self.vehicle.component(motor).paths);
        (0..paths.len())
            .filter(|&path| paths[path].emf == Emf::None)
            .filter_map(|path| motor.map(|motor| Probe::Current(motor, path)))
            .collect()
    }

    pub(super) fn motor(&self) -> Option<ComponentId> {
        self.vehicle
            .ids()
            .find(|&id| matches!(self.vehicle.component(id).kind, Kind::Motor(_)))
    }

    pub(super) fn listen(&mut self, minutes: Minutes) -> Result<Vec<Observable>, SolveError> {
        let brushes = self.brush_probes();
        let span = self.watch(minutes, LOOK_WINDOW_S, &brushes, None)?;
        Ok(self.heard(&span, &span.traces))
    }

    /// Pitch, hum and clicks of a span in which the brushes carried what their traces say.
    pub(super) fn heard(&self, span: &Span, brushes: &[Trace]) -> Vec<Observable> {
        let turning = span.turning_s > 0.0;
        let pitch = if turning {
            span.shaft_turns * std::f64::consts::TAU / span.turning_s
        } else {
            0.0
        };
        // A motor that has stopped hums with what it carries standing, not with what it carried when it ran.
        let stands =
            self.motion.speed() == 0.0 && span.seconds - span.turning_s > 0.5 * span.seconds;
        let largest = brushes
            .iter()
            .map(|trace| trace.mean_standing.abs())
            .fold(0.0, f64::max);
        let hum = if stands { largest } else { 0.0 };
        let motor = motor_name(self);
        let clicks = f64::from(span.clicks);
        let relays = self.sound.components.iter();
        let relays = relays
            .filter(|part| matches!(part.kind, Kind::Relay(_)))
            .count();
        let relays = (relays > 0).then(|| relay_clicks(span));
        let heard = vec![
            Observable::steady(
                Quantity::Pitch,
                motor.clone(),
                pitch.abs(),
                Scale::Words(PITCH),
            ),
            Observable::steady(Quantity::Hum, motor, hum, Scale::Words(HUM)),
            Observable::steady(
                Quantity::Clicks,
                "breaker".to_owned(),
                clicks,
                Scale::Words(CLICKS),
            ),
        ];
        let knock = if span.crank_turns == 0.0 {
            0.0
        } else {
            self.knock_deg()
        };
        let knock = Observable::steady(
            Quantity::Knock,
            "linkage".to_owned(),
            knock,
            Scale::Words(KNOCK),
        );
        let heard = heard.into_iter().chain([knock, self.flap(span)]);
        let sag = self.slowing(span).map(|slows| {
            let motor = motor_name(self);
            Observable::steady(Quantity::Sag, motor, slows, Scale::Words(SAG))
        });
        heard.chain(relays).chain(sag).collect()
    }

    /// What the dash ammeter shows: where the needle stays, and how far it kicks before it meets its stop.
    pub(super) fn discharge(&self, ammeter: ComponentId, trace: Trace) -> Observable {
        let subject = self.vehicle.component(ammeter).id.to_string();
        let stop = |amperes: f64| amperes.clamp(-DASH_END_A, DASH_END_A);
        let (value, min, max) = (stop(trace.mean), stop(trace.min), stop(trace.max));
        Observable {
            quantity: Quantity::Discharge,
            subject,
            value,
            min,
            max,
            scale: Scale::Display(DASH),
            samples: Vec::new(),
        }
    }

    /// Warmth of a component: watts lost in its resistances, EMFs apart, which a thin joint shows at
    /// once; and the heat of a pivot's bushing and of a breaker's bimetal, which take their time.
    pub(super) fn warmth(
        &mut self,
        component: ComponentId,
        minutes: Minutes,
    ) -> Result<f64, SolveError> {
        let paths = self.vehicle.component(component).paths.len();
        let probes: Vec<Probe> = (0..paths)
            .map(|path| Probe::Current(component, path))
            .collect();
        let span = self.watch(minutes, SENSE_WINDOW_S, &probes, None)?;
        let paths = &self.vehicle.component(component).paths;
        let lost = span.traces.iter().zip(paths);
        let in_paths: f64 = lost
            .map(|(trace, path)| trace.mean_square * path.resistance.ohms())
            .sum();
        let pivots = self.drive.as_ref().map_or(&[][..], |drive| &drive.pivots);
        let bushing = pivots.iter().position(|load| load.pivot == component);
        let at_once = in_paths + bushing.map_or(0.0, |place| self.bushings[place]);
        Ok(at_once.max(self.motion.bimetal_felt(component)))
    }

    /// What eyes or a hand tell of the glass, and a hand of how a blade lies on it; `None` for anything else.
    pub(crate) fn touched(&self, component: ComponentId) -> Option<Observable> {
        let part = self.vehicle.component(component);
        let (quantity, value, words) = match part.kind {
            Kind::Windscreen(surface) => {
                (Quantity::Glass, f64::from(self.on_glass(surface)), GLASS)
            }
            Kind::Arm { data, .. } => (Quantity::BladeForce, data.force.newtons(), BLADE_FORCE),
            _ => return None,
        };
        let subject = part.id.to_string();
        Some(Observable::steady(
            quantity,
            subject,
            value,
            Scale::Words(words),
        ))
    }

    /// Whether there is water on the glass that blades can wipe off it.
    pub(super) fn is_wet(&self) -> bool {
        self.on_glass(self.vehicle.surface()) < 2
    }

    /// What is on the glass, as [`GLASS`] counts it.
    fn on_glass(&self, surface: Surface) -> u8 {
        let wetted = self.wetted();
        match (surface, self.conditions.glass) {
            (Surface::Iced { .. }, _) if wetted => 4,
            (Surface::Iced { .. }, _) => 3,
            (Surface::Dry { .. }, _) | (_, Glass::Dry) => {
                if wetted {
                    1
                } else {
                    2
                }
            }
            (_, Glass::Wet) => 1,
            (_, Glass::Streaming) => 0,
        }
    }

    /// Watts that friction turns into heat in the bushing of a pivot: its torque over the sweep there and
    /// back, once a turn of the crank.
    pub(super) fn bushing_watts(&self, place: usize, span: &Span) -> f64 {
        let Some(drive) = &self.drive else { return 0.0 };
        if !drive.goes_without_link(place) && self.handling(None).link_off {
            return 0.0;
        }
        let work =
            drive.pivots[place].friction.newton_metres() * 2.0 * drive.linkage.sweep().radians();
        work * span.crank_turns.abs() / span.seconds.max(1e-9)
    }

    /// What the pivots feel like, `off_s` seconds after they have run for `run_s` from cold as they did
    /// over a span.
    pub(super) fn pivots_felt(
        &self,
        span: &Span,
        run_s: f64,
        off_s: f64,
    ) -> Vec<(ComponentId, Observable)> {
        let pivots = self.drive.as_ref().map_or(&[][..], |drive| &drive.pivots);
        let share = -libm::expm1(-run_s / BUSHING_TIME_S) * math::exp(-off_s / BUSHING_TIME_S);
        pivots
            .iter()
            .enumerate()
            .map(|(place, load)| {
                let subject = self.vehicle.component(load.pivot).id.to_string();
                let warmth = self.bushing_watts(place, span) * share;
                (
                    load.pivot,
                    Observable::steady(Quantity::Warmth, subject, warmth, Scale::Words(WARMTH)),
                )
            })
            .collect()
    }

    /// An arm moved by hand: one that the motor sweeps is none to feel anything of, its play least of all.
    pub(super) fn move_arm(
        &mut self,
        arm: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        self.spend(minutes, None)?;
        let mut felt = self.arm_felt(arm);
        if self.motion.speed() != 0.0 && self.swings(arm) {
            felt.truncate(1);
            for torque in &mut felt {
                (torque.value, torque.min, torque.max) = (SWEPT_NM, SWEPT_NM, SWEPT_NM);
            }
        }
        Ok(felt)
    }

    /// Whether an arm goes along with a motor that turns.
    fn swings(&self, arm: ComponentId) -> bool {
        let handling = self.handling(None);
        self.drive.as_ref().is_some_and(|drive| {
            let mut pivots = drive.pivots.iter();
            let place = pivots.position(|pivot| pivot.arm == arm && !pivot.guides);
            let linked = place.is_some_and(|place| drive.goes_without_link(place));
            !handling.crank_off && !drive.gear.stripped && (linked || !handling.link_off)
        })
    }

    /// What a hand that swings an arm feels: what holds it, and its play.
    pub(super) fn arm_felt(&self, arm: ComponentId) -> Vec<Observable> {
        vec![
            self.arm_torque_under(arm, &self.handling(None)),
            self.arm_play(arm),
        ]
    }

    /// What an arm would feel like with only these parts undone.
    pub(crate) fn arm_felt_with(
        &self,
        arm: ComponentId,
        undone: &[ComponentId],
    ) -> Vec<Observable> {
        let mut world = self.clone();
        for id in world.vehicle.ids() {
            world.bench.undone[id.index()] = undone.contains(&id);
        }
        world.arm_felt(arm)
    }

    pub(super) fn arm_torque_under(&self, arm: ComponentId, handling: &Handling) -> Observable {
        let subject = self.vehicle.component(arm).id.to_string();
        let torque = self.drive.as_ref().map_or(0.0, |drive| {
            let place = drive
                .pivots
                .iter()
                .position(|pivot| pivot.arm == arm && !pivot.guides)
                .unwrap_or(0);
            let held = !handling.crank_off && !drive.gear.stripped;
            if held && (drive.goes_without_link(place) || !handling.link_off) {
                // A loose nut lets the crank slip under the hand.
                let at_crank = drive.crank_slip.map_or(HELD_NM, |slip| {
                    slip.newton_metres() + felt(drive, place, handling)
                });
                // What is left of an arm's serrations gives under the hand as well.
                let slips_at = drive.pivots.get(place).and_then(|load| load.slips_at);
                return slips_at.map_or(at_crank, |slip| at_crank.min(slip.newton_metres()));
            }
            felt(drive, place, handling)
        });
        Observable::steady(
            Quantity::ArmTorque,
            subject,
            torque,
            Scale::Words(ARM_TORQUE),
        )
    }

    pub(super) fn try_consumer(
        &mut self,
        consumer: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let handling = self.handling(None);
        self.run(seconds(minutes) - TRY_WINDOW_S, &[], &handling)?;
        let strength = self.consumer_strength(consumer)?;
        self.has_taken(minutes);
        Ok(strength.into_iter().collect())
    }

    /// How well a consumer works when it is switched on for a moment; `None` for what is none.
    pub(super) fn consumer_strength(
        &mut self,
        consumer: ComponentId,
    ) -> Result<Option<Observable>, SolveError> {
        let component = self.vehicle.component(consumer).clone();
        let (Kind::Consumer(data), Some(path)) = (&component.kind, component.paths.first()) else {
            return Ok(None);
        };
        let before = std::mem::replace(&mut self.motion.setting.positions[consumer.index()], 1);
        let handling = self.handling(None);
        let span = self.run(TRY_WINDOW_S, &[Probe::Voltage(path.p, path.n)], &handling);
        self.motion.setting.positions[consumer.index()] = before;
        let strength = span?.traces[0].mean / data.rated.volts();
        let subject = component.id.to_string();
        Ok(Some(Observable::steady(
            Quantity::Strength,
            subject,
            strength,
            Scale::Words(STRENGTH),
        )))
    }
}

/// Torque of the pivots that move along with an arm, newton metres.
fn felt(drive: &DriveTrain, place: usize, handling: &Handling) -> f64 {
    let arm = drive.pivots.get(place).map(|pivot| pivot.arm);
    let along = drive
        .pivots
        .iter()
        .filter(|pivot| Some(pivot.arm) == arm || !handling.link_off);
    along.map(|pivot| pivot.friction.newton_metres()).sum()
}

fn motor_name(world: &World) -> String {
    let motor = world.motor();
    motor.map_or_else(String::new, |id| world.vehicle.component(id).id.to_string())
}

/// Turns of the crank each time that it sets off; many where it never stops.
fn wipes_at_a_time(span: &Span) -> f64 {
    if span.falters == 0 && span.crank_turns.abs() > 0.0 {
        return GOING_ON;
    }
    span.crank_turns.abs() / (0.5 * f64::from(span.falters)).max(1.0)
}

/// Blades may have gone before the span that was watched last and not in it, or the other way: one moment is what
/// is seen.
pub(super) fn also_before(seen: &mut [Observable], first: &Span, last: &Span) {
    let Some(pace) = seen.first_mut() else { return };
    if first.seconds <= 0.0 || pace.quantity != Quantity::Pace {
        return;
    }
    let before = first.crank_turns * 60.0 / first.seconds;
    (pace.min, pace.max) = (pace.value.min(before), pace.value.max(before));
    pace.value = (first.crank_turns + last.crank_turns) * 60.0 / (first.seconds + last.seconds);
}

/// Relays that are heard to move.
pub(super) fn relay_clicks(span: &Span) -> Observable {
    Observable::steady(
        Quantity::RelayClicks,
        "relays".to_owned(),
        f64::from(span.relay_clicks.min(RELAYS_HEARD)),
        Scale::Words(RELAYS),
    )
}

pub(super) fn count(span: &Span) -> Observable {
    let rate = span.crank_turns * 60.0 / span.seconds;
    Observable::steady(
        Quantity::CyclesPerMinute,
        "blades".to_owned(),
        rate,
        Scale::Display(COUNT),
    )
}

pub(super) fn follows(span: &Span) -> Observable {
    let turns = if span.crank_turns > 1e-3 {
        2.0
    } else if span.wheel_turns > 1e-3 {
        1.0
    } else {
        0.0
    };
    Observable::steady(
        Quantity::Follows,
        "linkage".to_owned(),
        turns,
        Scale::Words(FOLLOWS),
    )
}
