//! The flux of the motor. Magnets have all of theirs at any time. A wound field's follows the ampere turns of its
//! windings with a lag, and these are affine in what the circuit sees of the speed: flux times speed.
//!
//! A step takes the flux at its middle for the shaft, and the shaft's mean for the flux: second order, with both
//! exponentials in closed form. Where the field swings (a reversal, a start) steps are shorter.

use super::regime::Regime;
use super::{Handling, Motion, STEP_S};
use crate::machines::WoundField;
use crate::vehicle::{Affine, DriveTrain, Kind, Response, SERIES_FIELD, SHUNT_FIELD};

/// Halvings in search of a balance: to the last digit.
const HALVINGS: u32 = 80;
/// How many steps make a whole one where the field swings.
pub(super) const SWING_STEPS: f64 = 8.0;
/// By how much, as a share, the torque is to exceed friction where a shaft sets off, so that it is seen to do so.
const BEYOND: f64 = 1e-9;

/// What is left of a field's way to its goal after the steps that are usual, each with its length in seconds: whole
/// ones and those of a field that swings, and the half of each.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Lag([(f64, f64); 4]);

impl Lag {
    /// That of a field.
    fn of(field: &WoundField) -> Self {
        let short = STEP_S / SWING_STEPS;
        let steps = [STEP_S, 0.5 * STEP_S, short, 0.5 * short];
        Self(steps.map(|seconds| (seconds, field.kept(seconds))))
    }

    fn kept(&self, field: &WoundField, seconds: f64) -> f64 {
        let mut usual = self.0.iter();
        let known = usual.find(|(step, _)| step.to_bits() == seconds.to_bits());
        known.map_or_else(|| field.kept(seconds), |(_, kept)| *kept)
    }
}

impl Motion {
    /// What is left of the way of a wound field; nothing is asked of it where there are magnets.
    pub(super) fn lag(&self) -> Lag {
        self.field().as_ref().map_or_else(Lag::default, Lag::of)
    }

    /// Gives a wound field the ampere turns that stay in its iron, if it has not been in use.
    pub(super) fn magnetise(&mut self, drive: Option<&DriveTrain>) {
        let field = drive.and_then(|drive| drive.motor.wound_field());
        self.magnetised = field.map(|field| self.magnetised.unwrap_or_else(|| field.at_rest()));
    }

    fn field(&self) -> Option<WoundField> {
        self.magnetised?;
        self.drive.as_ref()?.motor.wound_field()
    }

    /// Share of its flux that the motor has.
    pub(crate) fn flux(&self) -> f64 {
        match (self.field(), self.magnetised) {
            (Some(field), Some(magnetised)) => field.flux(magnetised.turns),
            _ => 1.0,
        }
    }

    /// Ampere turns in effect; zero where there are magnets.
    pub(super) fn turns(&self) -> f64 {
        self.magnetised.map_or(0.0, |magnetised| magnetised.turns)
    }

    /// Speed as the circuit sees it, rad/s: the one at which all of the flux would make the same EMF.
    pub(crate) fn speed_seen(&self) -> f64 {
        self.flux() * self.speed
    }

    /// Ampere turns of a wound field's windings.
    pub(super) fn ampere_turns(&self, response: &Response) -> Option<Affine> {
        let field = self.field()?;
        let is_motor = |kind: &Kind| matches!(kind, Kind::Motor(_));
        let mut ids = self.vehicle.ids();
        let motor = ids.find(|&id| is_motor(&self.vehicle.component(id).kind))?;
        let component = self.vehicle.component(motor);
        let mut sum = Affine::default();
        for (name, turns) in [
            (SERIES_FIELD, field.series_turns),
            (SHUNT_FIELD, field.shunt_turns),
        ] {
            let path = component
                .paths
                .iter()
                .position(|path| path.name.as_str() == name);
            if let Some(element) = path.and_then(|path| response.element_of(motor, path)) {
                let current = response.current(element);
                sum.at_rest += turns * current.at_rest;
                sum.per_speed += turns * current.per_speed;
            }
        }
        Some(sum)
    }

    /// The flux some seconds from now, the speed being what it is.
    pub(super) fn flux_ahead(&self, regime: &Regime, seconds: f64) -> f64 {
        match (self.field(), self.magnetised, regime.turns) {
            (Some(field), Some(now), Some(turns)) => {
                let wound = turns.at(self.speed_seen());
                field.flux(
                    field
                        .after_kept(now, wound, regime.lag.kept(&field, seconds))
                        .turns,
                )
            }
            _ => 1.0,
        }
    }

    /// Lets the flux follow its windings over a step, in which the shaft turned by so much as the circuit sees it.
    pub(super) fn follow(&mut self, regime: &Regime, seen: f64, seconds: f64) {
        if let (Some(field), Some(now), Some(turns)) = (self.field(), self.magnetised, regime.turns)
        {
            let mean = if seconds > 0.0 { seen / seconds } else { 0.0 };
            let kept = regime.lag.kept(&field, seconds);
            self.magnetised = Some(field.after_kept(now, turns.at(mean), kept));
        }
    }

    /// How far the flux is from where its windings lead it, in terms of half saturation.
    pub(super) fn unsettled(&self, regime: &Regime) -> f64 {
        match (self.field(), self.magnetised, regime.turns) {
            (Some(field), Some(now), Some(turns)) => {
                let goal = field.goal(now, turns.at(self.speed_seen()));
                (goal.turns - now.turns).abs() / field.half
            }
            _ => 0.0,
        }
    }

    /// Time until the flux is enough to turn a shaft that stands, at most `longest` seconds.
    pub(super) fn until_it_turns(
        &self,
        drive: &DriveTrain,
        regime: &Regime,
        longest: f64,
        handling: &Handling,
    ) -> f64 {
        let (Some(field), Some(now), Some(turns)) = (self.field(), self.magnetised, regime.turns)
        else {
            return longest;
        };
        let torque = regime.torque.at_rest;
        let time_with = |sign: f64| {
            let friction = self.standing_friction(drive, sign, handling) * (1.0 + BEYOND);
            field.time_to(now, turns.at_rest, sign * friction / torque)
        };
        // The other way round, the flux has to pass through nothing first.
        let times = [1.0, -1.0].map(time_with);
        let first = times.into_iter().flatten().fold(longest, f64::min);
        // A moment that is not seen to pass would stop the clock.
        first.max(longest.min(1e-9))
    }

    /// The speed at which a motor with a wound field that turns what it turns goes on; its flux is then what belongs
    /// to that.
    ///
    /// As the circuit sees more speed, armature current, flux and torque fall: where what is left is friction, the
    /// shaft goes on as it is.
    pub(super) fn balance_wound(&mut self, drive: &DriveTrain, regime: &Regime, load: f64) -> f64 {
        let (Some(field), Some(now), Some(turns)) = (self.field(), self.magnetised, regime.turns)
        else {
            return 0.0;
        };
        let settled = |seen: f64| field.goal(now, turns.at(seen));
        let sign = (field.flux(settled(0.0).turns) * regime.torque.at_rest).signum();
        // Where the armature has no current any more.
        let most = -regime.torque.at_rest / regime.torque.per_speed;
        let goes_faster = |seen: f64| {
            let flux = field.flux(settled(seen).turns);
            let speed = seen / flux;
            speed.is_finite() && {
                let goal = self.decay(drive, regime, flux, sign, load).goal;
                sign * (goal - speed) > 0.0
            }
        };
        let (mut low, mut high) = (0.0, most);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if goes_faster(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        let magnetised = settled(low);
        self.magnetised = Some(magnetised);
        low / field.flux(magnetised.turns)
    }

    /// Lets the flux of a shaft that is held settle.
    pub(crate) fn settle_flux(&mut self) -> Result<(), crate::network::SolveError> {
        let regime = self.regime(&[])?;
        if let (Some(field), Some(now), Some(turns)) = (self.field(), self.magnetised, regime.turns)
        {
            self.magnetised = Some(field.goal(now, turns.at(self.speed_seen())));
        }
        Ok(())
    }
}
