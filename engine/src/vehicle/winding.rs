//! What a broken and a shorted coil do to the values of a motor.

use super::{Component, Emf, Field, Gate, Kind, MotorData, SERIES_FIELD, SHUNT_FIELD, ShaftArc};
use crate::machines::{Coils, WoundField};
use crate::math;
use crate::quantity::{Angle, EmfConstant, Resistance};

impl MotorData {
    /// The coils of its armature.
    #[must_use]
    pub const fn winding(&self) -> Coils {
        Coils { count: self.coils }
    }

    /// Torque that brakes its shaft besides Coulomb friction, newton metre seconds per radian, at a share of its
    /// flux.
    #[must_use]
    pub const fn damping_nms(&self, flux: f64) -> f64 {
        self.viscous_nms + self.shorted_nms * flux * flux
    }

    /// Its field's windings, if its flux comes from any.
    #[must_use]
    pub const fn wound_field(&self) -> Option<WoundField> {
        match self.field {
            Field::Wound(field) => Some(field),
            Field::Magnets => None,
        }
    }

    /// The brushes that an arc of the winding, by the name of its path, lies between: angles from the low
    /// or first brush, the way the shaft turns forward. `None` for what is no arc.
    #[must_use]
    pub fn between_brushes(&self, path: &str) -> Option<(Angle, Angle)> {
        let (low, common) = (Angle::ZERO, Angle::from_degrees(180.0));
        let round = Angle::from_degrees(360.0);
        match path {
            "arc-low-high" => Some((low, self.third_brush?)),
            "arc-high-common" => Some((self.third_brush?, common)),
            "arc-near" => Some((low, common)),
            "arc-low-common" | "arc-far" => Some((common, round)),
            _ => None,
        }
    }
}

impl Component {
    /// Breaks the first coil of a motor's armature: each arc of the ring is open while it stands in it.
    pub(super) fn break_coil(&mut self) {
        let Kind::Motor(data) = self.kind else { return };
        for path in &mut self.paths {
            let brushes = data.between_brushes(path.name.as_str());
            let parted = brushes.and_then(|(from, to)| data.winding().parted(from, to));
            if let Some((from, to)) = parted {
                let to = Angle::from_radians(math::wrap_turn(to.radians()));
                path.gate = Gate::ShaftOutside(ShaftArc { from, to });
            }
        }
    }

    /// Shorts a share of the turns of a field's winding: what is left of it has less resistance, and magnetises
    /// less. (The shorted turns carry no current but while the flux changes, which is left out.)
    pub(super) fn short_field(&mut self, path: usize, share: f64) {
        let (Kind::Motor(data), Some(winding)) = (&mut self.kind, self.paths.get_mut(path)) else {
            return;
        };
        let Field::Wound(field) = &mut data.field else {
            return;
        };
        let left = 1.0 - share;
        winding.resistance = winding.resistance * left;
        match winding.name.as_str() {
            SERIES_FIELD => field.series_turns *= left,
            SHUNT_FIELD => field.shunt_turns *= left,
            _ => {}
        }
    }

    /// Shorts a share of the turns of the first coil of a motor's armature; a smaller share than is shorted
    /// already changes nothing.
    pub(crate) fn short_coil(&mut self, share: f64) {
        let Kind::Motor(data) = &mut self.kind else {
            return;
        };
        if share <= data.shorted {
            return;
        }
        let coils = data.winding();
        // As it was with no turn shorted.
        let whole = 1.0 / coils.left(data.shorted);
        let (mut both_halves, mut ring) = (EmfConstant::ZERO, Resistance::ZERO);
        for path in &self.paths {
            if let Emf::PerSpeed(constant) = path.emf {
                both_halves = both_halves + constant * whole;
                ring = ring + path.resistance * whole;
            }
        }
        data.shorted_nms = coils.drag(share, both_halves * 0.5, ring);
        data.shorted = share;
        for path in &mut self.paths {
            if let Emf::PerSpeed(constant) = &mut path.emf {
                *constant = *constant * (whole * coils.left(share));
                path.resistance = path.resistance * (whole * coils.left(share));
            }
        }
    }
}
