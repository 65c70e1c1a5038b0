//! The mechanics put together: one motor, its gear, and what they move.

use super::{ArmData, CamData, ComponentId, GearData, Kind, MotorData, Vehicle};
use crate::machines::{FourBar, FourBarError};
use crate::quantity::Torque;

/// The mechanics of a vehicle: one motor and what it moves.
#[derive(Clone, Debug, PartialEq)]
pub struct DriveTrain {
    /// The motor.
    pub motor: MotorData,
    /// Its gear.
    pub gear: GearData,
    /// Torque the crank joint carries before it slips; `None` when tight.
    pub crank_slip: Option<Torque>,
    /// The linkage.
    pub linkage: FourBar,
    /// The window of the park cam.
    pub cam: CamData,
    /// Pivots in the order of the file: the drive link moves the first, a connecting link the others.
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
    /// The arm.
    pub data: ArmData,
}

/// Why a vehicle's mechanics cannot move.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DriveTrainError {
    /// A kind that a drive needs exactly one of.
    #[error("a drive needs exactly one {0}")]
    NeedsOne(&'static str),
    /// A pivot without an arm, or with several.
    #[error("each pivot carries exactly one arm")]
    PivotWithoutArm,
    /// Proportions that do not turn.
    #[error(transparent)]
    Linkage(#[from] FourBarError),
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
        linkage.check()?;
        let pivots = self
            .ids()
            .filter_map(|pivot| match self.component(pivot).kind {
                Kind::Pivot { friction } => Some(self.pivot_load(pivot, friction)),
                _ => None,
            })
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Some(DriveTrain {
            motor,
            gear,
            crank_slip,
            linkage,
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
            Kind::Arm { data, pivot: on } if on == pivot => Some((arm, data)),
            _ => None,
        });
        match (arms.next(), arms.next()) {
            (Some((arm, data)), None) => Ok(PivotLoad {
                pivot,
                arm,
                friction,
                data,
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
