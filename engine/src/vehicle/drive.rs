//! The mechanics put together: one motor, its gear, and what they move.

use super::{ArmData, CamData, ComponentId, GearData, Kind, MotorData, Vehicle, Wear};
use crate::machines::{Eccentric, FourBar, FourBarError, Pose, Release, Stuck};
use crate::quantity::{Angle, Force, Torque};

/// The mechanics of a vehicle: one motor and what it moves.
#[derive(Clone, Debug, PartialEq)]
pub struct DriveTrain {
    /// The motor.
    pub motor: MotorData,
    /// Its gear.
    pub gear: GearData,
    /// Torque the crank joint carries before it slips; `None` when tight.
    pub crank_slip: Option<Torque>,
    /// How far from its mark the crank was done up.
    pub crank_astray: Angle,
    /// Whether the drive link is off its pin: the blades stay.
    pub drive_link_off: bool,
    /// Whether the connecting link is off its pin.
    pub connecting_link_off: bool,
    /// Play of the gear's teeth, at the wheel.
    pub gear_play: Angle,
    /// The linkage, with an eccentric right in.
    pub linkage: FourBar,
    /// The eccentric in the crank of a motor that reverses.
    pub eccentric: Option<Eccentric>,
    /// The window of the park cam.
    pub cam: CamData,
    /// Pivots in the order of the file: the drive link moves that of the first arm, a connecting link the others.
    pub pivots: Vec<PivotLoad>,
}

/// What one pivot has to move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PivotLoad {
    /// The pivot.
    pub pivot: ComponentId,
    /// The arm on it.
    pub arm: ComponentId,
    /// Friction of the bushing.
    pub friction: Torque,
    /// The arm; one that is only guided here presses with nothing, for its blade counts where it is carried.
    pub data: ArmData,
    /// Whether it only guides the arm, turning along with the pivot that carries it.
    pub guides: bool,
    /// Torque at which what is left of the arm's serrations slips.
    pub slips_at: Option<Torque>,
    /// How far off its place the arm stands on the pivot.
    pub astray: Angle,
    /// Play in the bushing, at the arm.
    pub play: Angle,
}

/// Why a vehicle's mechanics cannot move.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DriveTrainError {
    /// A kind that a drive needs exactly one of.
    #[error("a drive needs exactly one {0}")]
    NeedsOne(&'static str),
    /// A pivot without an arm, or with several.
    #[error("each pivot carries or guides exactly one arm")]
    PivotWithoutArm,
    /// Proportions that do not turn.
    #[error(transparent)]
    Linkage(#[from] FourBarError),
}

/// Radians of the crank on either side of a place at which a change is taken.
const BESIDE: f64 = 1e-3;

impl DriveTrain {
    /// Where the rocker is with the crank and its eccentric at these angles.
    #[must_use]
    pub fn pose(&self, crank: Angle, release: Release) -> Pose {
        self.at_throw(release).pose(crank)
    }

    /// By how many radians the rocker turns for each radian of a crank that turns the way of `sign`: the
    /// eccentric may turn along with it.
    #[must_use]
    pub fn ratio(&self, crank: Angle, release: Release, sign: f64) -> f64 {
        let Some(eccentric) = self.eccentric.filter(|_| release.turns_along(sign)) else {
            return self.pose(crank, release).ratio;
        };
        // What the crank goes forward, the eccentric goes in.
        let (pose, reach) = self.at_throw(release).pose_and_reach(crank);
        pose.ratio - reach * eccentric.adds_per_radian(release.out())
    }

    /// Angle of the crank with the blades at rest.
    #[must_use]
    pub fn park(&self) -> Angle {
        self.at_throw(Release::OUT).extended_dead_centre()
    }

    /// How an eccentric stands after a run home; in for a crank that has none.
    #[must_use]
    pub fn parked(&self) -> Release {
        if self.eccentric.is_some() {
            Release::OUT
        } else {
            Release::IN
        }
    }

    /// How an eccentric stands that does not turn; `None` for one that does, and for a crank that has none.
    #[must_use]
    pub fn stuck(&self) -> Option<Release> {
        let stuck = self.eccentric?.stuck?;
        Some(match stuck {
            Stuck::In => Release::IN,
            Stuck::Out => Release::OUT,
        })
    }

    /// Where the rocker turns round with an eccentric that stands so: stretched out, and folded.
    #[must_use]
    pub fn turns_round(&self, release: Release) -> [Pose; 2] {
        let bar = self.at_throw(release);
        [bar.extended_dead_centre(), bar.folded_dead_centre()].map(|crank| bar.pose(crank))
    }

    /// By how much the rocker's speed over the crank's changes for each radian of the crank where it turns round, at the
    /// end where that is most: how hard it is turned round.
    #[must_use]
    pub fn turns_round_at(&self) -> f64 {
        let bar = self.linkage;
        let bend = |crank: Angle| {
            let beside = Angle::from_radians(BESIDE);
            let change = bar.pose(crank + beside).ratio - bar.pose(crank - beside).ratio;
            (0.5 * change / BESIDE).abs()
        };
        bend(bar.extended_dead_centre()).max(bend(bar.folded_dead_centre()))
    }

    fn at_throw(&self, release: Release) -> FourBar {
        match &self.eccentric {
            Some(eccentric) => self.linkage.with_more_throw(eccentric.adds(release.out())),
            None => self.linkage,
        }
    }

    /// Torque that a blade takes at the pivot of its arm, newton metres, as far as the arm's serrations carry it.
    #[must_use]
    pub fn blade_torque(load: &PivotLoad, friction: f64) -> f64 {
        let torque = (load.data.force * load.data.radius).newton_metres() * friction;
        match load.slips_at {
            Some(slip) => torque.min(slip.newton_metres()),
            None => torque,
        }
    }

    /// Whether a pivot goes along when the connecting link is off.
    #[must_use]
    pub fn goes_without_link(&self, place: usize) -> bool {
        let first = self.pivots.first().map(|load| load.arm);
        self.pivots.get(place).map(|load| load.arm) == first
    }
}

impl Vehicle {
    /// The mechanics, or `None` for a vehicle without a motor.
    ///
    /// # Errors
    /// [`DriveTrainError`] when a motor lacks what it needs to move blades.
    pub fn drive_train(&self) -> Result<Option<DriveTrain>, DriveTrainError> {
        let motor = self.one("motor", |kind| match kind {
            Kind::Motor(data) => Some(*data),
            _ => None,
        });
        let Ok(motor) = motor else {
            let motors = self
                .components
                .iter()
                .filter(|c| matches!(c.kind, Kind::Motor(_)))
                .count();
            return if motors == 0 {
                Ok(None)
            } else {
                motor.map(|_| None)
            };
        };
        let gear = self.one("gear", |kind| match kind {
            Kind::Gear(data) => Some(*data),
            _ => None,
        })?;
        let crank_slip = self.one("crank nut", |kind| match kind {
            Kind::CrankNut { slip } => Some(*slip),
            _ => None,
        })?;
        let linkage = self.one("linkage", |kind| match kind {
            Kind::Linkage(data) => Some(data.four_bar),
            _ => None,
        })?;
        let cam = self.one("park contact", |kind| match kind {
            Kind::ParkContact(data) => Some(*data),
            _ => None,
        })?;
        let eccentric = self
            .components
            .iter()
            .find_map(|component| match component.kind {
                Kind::Eccentric(data) => Some(data),
                _ => None,
            });
        let wear = |wanted: fn(&Kind) -> bool| {
            let mut parts = self.components.iter();
            parts
                .find(|part| wanted(&part.kind))
                .map_or_else(Wear::default, |part| part.wear)
        };
        let of_link = wear(|kind| matches!(kind, Kind::ConnectingLink));
        linkage.check()?;
        if let Some(eccentric) = eccentric {
            linkage.with_more_throw(eccentric.adds_most()).check()?;
        }
        let mut pivots = self
            .ids()
            .filter_map(|pivot| match self.component(pivot).kind {
                Kind::Pivot { friction } => Some(self.pivot_load(pivot, friction)),
                _ => None,
            })
            .collect::<Result<Vec<PivotLoad>, _>>()?;
        let first = pivots.first().map(|load| load.arm);
        for load in pivots.iter_mut().filter(|load| Some(load.arm) != first) {
            load.astray = load.astray + of_link.astray;
        }
        Ok(Some(DriveTrain {
            motor,
            gear,
            crank_slip,
            crank_astray: wear(|kind| matches!(kind, Kind::CrankNut { .. })).astray,
            drive_link_off: wear(|kind| matches!(kind, Kind::Linkage(_))).off,
            connecting_link_off: of_link.off,
            gear_play: wear(|kind| matches!(kind, Kind::Gear(_))).play,
            linkage,
            eccentric,
            cam,
            pivots,
        }))
    }

    fn pivot_load(
        &self,
        pivot: ComponentId,
        friction: Torque,
    ) -> Result<PivotLoad, DriveTrainError> {
        let mut arms = self.ids().filter_map(|arm| match self.component(arm).kind {
            Kind::Arm {
                data, pivot: on, ..
            } if on == pivot => Some((arm, data, false)),
            Kind::Arm {
                mut data,
                guide: Some(by),
                ..
            } if by == pivot => {
                data.force = Force::ZERO;
                Some((arm, data, true))
            }
            _ => None,
        });
        match (arms.next(), arms.next()) {
            (Some((arm, data, guides)), None) => Ok(PivotLoad {
                pivot,
                arm,
                friction,
                data,
                guides,
                slips_at: self.component(arm).wear.slips_at,
                astray: self.component(arm).wear.astray,
                play: self.component(pivot).wear.play,
            }),
            _ => Err(DriveTrainError::PivotWithoutArm),
        }
    }

    fn one<T>(
        &self,
        what: &'static str,
        take: impl Fn(&Kind) -> Option<T>,
    ) -> Result<T, DriveTrainError> {
        let mut found = self
            .components
            .iter()
            .filter_map(|component| take(&component.kind));
        match (found.next(), found.next()) {
            (Some(one), None) => Ok(one),
            _ => Err(DriveTrainError::NeedsOne(what)),
        }
    }
}
