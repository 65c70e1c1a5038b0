//! What play, slipping serrations and links off their pins come to for eyes, ears and hands.

use super::World;
use super::observation::{Observable, Quantity, Scale};
use super::scales::{ADRIFT, PLAY, STAY};
use crate::quantity::Angle;
use crate::vehicle::{Component, ComponentId, DriveTrain, Kind, PivotLoad};

impl World {
    /// Whether the drive link is off its pin, and the connecting link.
    pub(super) fn links_off(&self) -> (bool, bool) {
        let drive = self.drive.as_ref();
        drive.map_or((false, false), |drive| {
            (drive.drive_link_off, drive.connecting_link_off)
        })
    }

    /// Arms that stay where they are while the pivots turn: their serrations slip under the blade, or the link that
    /// moves their pivot is off.
    pub(super) fn arms_that_stay(&self) -> u32 {
        let handling = self.handling(None);
        let Some(drive) = self.drive.as_ref().filter(|_| !handling.crank_off) else {
            return 0;
        };
        let slips = |load: &PivotLoad| {
            let wanted = (load.data.force * load.data.radius).newton_metres();
            DriveTrain::blade_torque(load, handling.blade_friction)
                < wanted * handling.blade_friction
        };
        let arms = drive.pivots.iter().enumerate();
        let stays = |(place, load): &(usize, &PivotLoad)| {
            !load.guides && (slips(load) || (handling.link_off && !drive.goes_without_link(*place)))
        };
        arms.filter(stays).fold(0, |count, _| count + 1)
    }

    /// Force of the blade that presses least, newtons.
    pub(super) fn least_force_n(&self) -> f64 {
        let pivots = self.drive.as_ref().map_or(&[][..], |drive| &drive.pivots);
        let arms = pivots.iter().filter(|load| !load.guides);
        arms.map(|load| load.data.force.newtons())
            .fold(f64::INFINITY, f64::min)
    }

    /// Play that is taken up as the blades turn round, degrees at the arm that has most of it: of its bushing, and of
    /// the gear's teeth as the linkage hands them on, on the average of the wipe.
    pub(super) fn knock_deg(&self) -> f64 {
        let handling = self.handling(None);
        let Some(drive) = self.drive.as_ref().filter(|_| !handling.crank_off) else {
            return 0.0;
        };
        let in_bushings = drive.pivots.iter().map(|load| load.play.degrees());
        let of_gear = drive.gear_play.degrees() * drive.linkage.sweep().degrees() / 180.0;
        in_bushings.fold(0.0, f64::max) + of_gear
    }

    /// Play of an arm at its tip, by hand: of its bushing, and of the gear's teeth as far as the linkage hands them on
    /// where the crank stands.
    pub(super) fn arm_play(&self, arm: ComponentId) -> Observable {
        let handling = self.handling(None);
        let play = self.drive.as_ref().map_or(0.0, |drive| {
            let places = drive.pivots.iter().enumerate();
            let mut own = places.filter(|(_, load)| load.arm == arm && !load.guides);
            let Some((place, load)) = own.next() else {
                return 0.0;
            };
            let held = !handling.crank_off
                && (drive.goes_without_link(place) || !handling.link_off)
                && !drive.gear.stripped;
            let at_gear = if held {
                let ratio = drive.pose(self.motion.crank(), self.motion.release()).ratio;
                drive.gear_play.radians() * ratio.abs()
            } else {
                0.0
            };
            (load.play + Angle::from_radians(at_gear)).radians() * load.data.tip.metres() * 1000.0
        });
        let subject = self.vehicle.component(arm).id.to_string();
        Observable::steady(Quantity::Play, subject, play, Scale::Words(PLAY))
    }

    /// Whether all arms go.
    pub(super) fn stay(&self) -> Observable {
        let arms = f64::from(self.arms_that_stay());
        Observable::steady(Quantity::Stay, "arms".to_owned(), arms, Scale::Words(STAY))
    }

    /// Which links are off their pins.
    pub(super) fn adrift(&self) -> Vec<Observable> {
        let links = self.vehicle.components.iter();
        let links =
            links.filter(|part| matches!(part.kind, Kind::Linkage(_) | Kind::ConnectingLink));
        let seen = |part: &Component| {
            let off = f64::from(u8::from(part.wear.off));
            Observable::steady(
                Quantity::Adrift,
                part.id.to_string(),
                off,
                Scale::Words(ADRIFT),
            )
        };
        links.map(seen).collect()
    }
}
