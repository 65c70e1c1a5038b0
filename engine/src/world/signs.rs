//! What an eye finds on a component: crust, chafing, a link that has melted.

use super::World;
use super::observation::{Observable, Quantity, Scale};
use super::scales::{ADRIFT, ARM_OFF_MARK, BENT, CHAFE, CRUST, MELTED, OFF_MARK, RATING, RUBBER};
use crate::network::SolveError;
use crate::quantity::{Angle, Minutes};
use crate::vehicle::{Component, ComponentId, Kind, OPEN, Vehicle};

impl World {
    /// Looks at a component from near.
    pub(super) fn look_at(
        &mut self,
        component: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        if matches!(self.vehicle.component(component).kind, Kind::Arm { .. }) {
            // An arm is seen as it goes, and so is the other one.
            let mut seen = self.look_at_blades(minutes)?;
            seen.extend(looked_at(&self.vehicle, component, false, Angle::ZERO));
            return Ok(seen);
        }
        self.spend(minutes, None)?;
        let melted = self.motion.setting.tripped[component.index()];
        let off_mark = self.off_mark();
        Ok(looked_at(&self.vehicle, component, melted, off_mark))
    }

    /// How far the crank stands off its mark.
    pub(super) fn off_mark(&self) -> Angle {
        self.motion.off_mark()
    }
}

/// What an eye finds on a component; nothing on what shows nothing.
pub(super) fn looked_at(
    vehicle: &Vehicle,
    id: ComponentId,
    melted: bool,
    off_mark: Angle,
) -> Vec<Observable> {
    let component = vehicle.component(id);
    let seen = |quantity, value, words| {
        let subject = component.id.to_string();
        Observable::steady(quantity, subject, value, Scale::Words(words))
    };
    let mut list = Vec::new();
    // A link that has melted blisters its insulation; one that parted by age and shaking looks whole.
    if matches!(component.kind, Kind::FusibleLink(_)) {
        list.push(seen(Quantity::Melted, f64::from(u8::from(melted)), MELTED));
    }
    if let (Kind::Fuse(data), Some(blade)) = (&component.kind, component.paths.first()) {
        let blown = melted || blade.resistance >= OPEN;
        list.push(seen(Quantity::Melted, f64::from(u8::from(blown)), MELTED));
        list.push(seen(
            Quantity::Rating,
            data.blade_rating().amperes(),
            RATING,
        ));
    }
    if component.crusts() {
        list.push(seen(Quantity::Crust, component.signs.crust, CRUST));
    }
    match component.kind {
        Kind::Arm { .. } => {
            let beside = component.wear.astray.degrees().abs();
            list.push(seen(Quantity::ArmOffMark, beside, ARM_OFF_MARK));
            list.push(seen(Quantity::Rubber, component.wear.torn, RUBBER));
        }
        Kind::CrankNut { .. } => {
            list.push(seen(Quantity::OffMark, off_mark.degrees(), OFF_MARK));
        }
        Kind::ConnectingLink => {
            let bent = component.wear.astray.degrees().abs();
            list.push(seen(Quantity::Bent, bent, BENT));
            let off = f64::from(u8::from(component.wear.off));
            list.push(seen(Quantity::Adrift, off, ADRIFT));
        }
        _ => {}
    }
    if chafes(component) {
        list.push(seen(Quantity::Chafe, component.signs.chafe, CHAFE));
    }
    list
}

/// Whether a look at a component can find anything.
pub(crate) const fn shows_signs(component: &Component) -> bool {
    component.crusts()
        || component.is_conductor()
        || matches!(
            component.kind,
            Kind::Fuse(_)
                | Kind::FusibleLink(_)
                | Kind::CrankNut { .. }
                | Kind::ConnectingLink
                | Kind::Arm { .. }
        )
}

/// Whether wires on it can be rubbed through.
const fn chafes(component: &Component) -> bool {
    component.is_conductor() || matches!(component.kind, Kind::Connector { .. })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::read_vehicle;
    use crate::random::{Purpose, Seed, Stream};
    use crate::world::{Errors, Observation};

    fn van() -> Vehicle {
        read_vehicle(include_str!("../../../scenarios/van-case-ground.toml"))
            .unwrap()
            .0
    }

    /// Share of people who see something on a component.
    fn share_seeing(vehicle: &Vehicle, id: &str) -> f64 {
        let seen = looked_at(vehicle, vehicle.find(id).unwrap(), false, Angle::ZERO);
        let mut stream = Stream::new(Seed(2), Purpose::ReadingError);
        let mut count = 0;
        for _ in 0..2000 {
            let own = stream.normal();
            let errors = Errors {
                instrument: 0.0,
                own,
            };
            let noticed = |seen: &Observable| matches!(seen.observe(errors), Observation::Perception { level, .. } if level > 0);
            count += u32::from(seen.iter().any(noticed));
        }
        f64::from(count) / 2000.0
    }

    #[test]
    fn crust_is_seen_more_often_than_not_and_now_and_then_where_none_is() {
        let sound = van();
        let faulty = |fault: &str| sound.inject(&sound.parse_fault(fault).unwrap());
        let crusted = share_seeing(&faulty("motor-plug.53-high-resistance:2"), "motor-plug");
        assert!((0.6..0.75).contains(&crusted), "{crusted}");
        let clean = share_seeing(&sound, "motor-plug");
        assert!((0.005..0.05).contains(&clean), "{clean}");
        // Harmless, as life has it.
        assert!(share_seeing(&sound, "front-ground") > 0.5);
        let chafed = share_seeing(&faulty("motor-53.short-to-ground"), "motor-53");
        assert!((0.6..0.75).contains(&chafed), "{chafed}");
        // Wires that touch at a plug have rubbed through there.
        let plug = sound.component(sound.find("motor-plug").unwrap());
        let bridged = plug.modes().into_iter();
        let bridged = bridged
            .map(|mode| mode.name)
            .find(|name| name.as_str().ends_with("-bridged"));
        let fault = format!("motor-plug.{}", bridged.unwrap());
        assert!((0.6..0.75).contains(&share_seeing(&faulty(&fault), "motor-plug")));
        // What is inside insulation or a switch shows nothing.
        assert!(share_seeing(&faulty("motor-53.high-resistance:5"), "motor-53") < 0.05);
        let switch = faulty("wiper-switch.low-high-resistance:5");
        assert!(share_seeing(&switch, "wiper-switch") < 1e-9);
    }

    #[test]
    fn a_link_that_has_melted_looks_so() {
        let sound = van();
        let link = sound.find("fusible-link").unwrap();
        let word =
            |melted| match looked_at(&sound, link, melted, Angle::ZERO)[0].observe(Errors::NONE) {
                Observation::Perception { word, .. } => word,
                Observation::Reading { .. } => "",
            };
        assert_eq!((word(false), word(true)), ("looks whole", "has melted"));
    }
}
