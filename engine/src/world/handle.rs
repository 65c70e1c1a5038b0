//! Pulling at a terminal and moving a loom by hand, to find what is loose.

use super::observation::{Observable, Quantity, Scale};
use super::scales::{FALTERS, GRIP};
use super::tally::Span;
use super::{SENSE_WINDOW_S, World, seconds};
use crate::network::SolveError;
use crate::quantity::Minutes;
use crate::vehicle::{ComponentId, Loose, Node, Point};

impl World {
    /// Pulls at what ends on a terminal: how far it gives, and what the motor makes of it.
    pub(super) fn tug(
        &mut self,
        point: Point,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let moved = self.ends_on(point.component, &[self.vehicle.node(point)]);
        let give = moved
            .iter()
            .filter_map(|&(id, path)| self.play_mm(id, path))
            .fold(0.0, f64::max);
        let subject = self.vehicle.point_name(point);
        let span = self.shake(&moved, minutes)?;
        Ok(vec![
            Observable::steady(Quantity::Grip, subject.clone(), give, Scale::Words(GRIP)),
            falters(&span, subject),
        ])
    }

    /// Moves a component to and fro with all that ends on it, or a wire with what it ends on.
    pub(super) fn wiggle(
        &mut self,
        component: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let part = self.vehicle.component(component);
        let subject = part.id.to_string();
        let ends: Vec<Node> = if part.is_conductor() {
            part.paths
                .iter()
                .flat_map(|path| [path.p, path.n])
                .collect()
        } else {
            part.terminals
                .iter()
                .map(|terminal| terminal.node)
                .collect()
        };
        let mut moved = self.ends_on(component, &ends);
        if part.is_conductor() {
            moved.extend(self.pins_on(&ends));
        }
        let span = self.shake(&moved, minutes)?;
        Ok(vec![falters(&span, subject)])
    }

    /// Paths of a component, and wires and straps, with an end on one of these nodes.
    fn ends_on(&self, component: ComponentId, nodes: &[Node]) -> Vec<(ComponentId, usize)> {
        self.paths_on(nodes, |id| {
            id == component || self.vehicle.component(id).is_conductor()
        })
    }

    /// Paths of what can be moved by its wires, with an end on one of these nodes.
    fn pins_on(&self, nodes: &[Node]) -> Vec<(ComponentId, usize)> {
        self.paths_on(nodes, |id| !self.vehicle.component(id).is_conductor())
    }

    fn paths_on(
        &self,
        nodes: &[Node],
        wanted: impl Fn(ComponentId) -> bool,
    ) -> Vec<(ComponentId, usize)> {
        let ids = self.vehicle.ids().filter(|&id| wanted(id));
        ids.flat_map(|id| {
            let paths = self.vehicle.component(id).paths.iter().enumerate();
            paths
                .filter(|(_, path)| nodes.contains(&path.p) || nodes.contains(&path.n))
                .map(move |(path, _)| (id, path))
        })
        .collect()
    }

    /// How far a path gives when it is pulled, millimetres; `None` when it is not loose.
    fn play_mm(&self, id: ComponentId, path: usize) -> Option<f64> {
        match self.vehicle.component(id).paths[path].loose {
            Some(Loose::Shaken { play, .. }) => Some(play.metres() * 1000.0),
            _ => None,
        }
    }

    /// Moves these paths for the end of the minutes.
    fn shake(
        &mut self,
        moved: &[(ComponentId, usize)],
        minutes: Minutes,
    ) -> Result<Span, SolveError> {
        self.touched = moved
            .iter()
            .any(|&(id, path)| self.play_mm(id, path).is_some());
        let total = seconds(minutes);
        let window = SENSE_WINDOW_S.min(total);
        self.pass(total - window, None)?;
        self.motion
            .touch(|id, path| moved.contains(&(id, path)), window);
        let handling = self.handling(None);
        let span = self.run(window, &[], &handling)?;
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
        Ok(span)
    }
}

fn falters(span: &Span, subject: String) -> Observable {
    let times = f64::from(span.falters);
    Observable::steady(Quantity::Falters, subject, times, Scale::Words(FALTERS))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::file::read_vehicle;
    use crate::scenario::Glass;
    use crate::world::{Conditions, Errors, Observation};

    /// The van with a fault, wiping in LOW.
    fn wiping(fault: &str) -> World {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let sound = Arc::new(read_vehicle(text).unwrap().0);
        let faulty = sound.inject(&sound.parse_fault(fault).unwrap());
        let conditions = Conditions {
            glass: Glass::Wet,
            helper: false,
        };
        let mut world = World::new(Arc::new(faulty), sound, conditions).unwrap();
        for (control, position) in [("key", 2), ("wiper", 1)] {
            let id = world.vehicle.control(control).unwrap();
            world.bench.positions[id.index()] = position;
            world.motion.setting.positions[id.index()] = position;
        }
        let handling = world.handling(None);
        world.run(3.0, &[], &handling).unwrap();
        world
    }

    fn words(seen: &[Observable]) -> Vec<&'static str> {
        let word = |seen: &Observable| match seen.observe(Errors::NONE) {
            Observation::Perception { word, .. } => word,
            Observation::Reading { .. } => "",
        };
        seen.iter().map(word).collect()
    }

    fn point(world: &World, name: &str) -> Point {
        let vehicle = &world.vehicle;
        vehicle
            .points()
            .find(|&point| vehicle.point_name(point) == name)
            .unwrap()
    }

    #[test]
    fn a_tug_tells_a_loose_terminal_a_broken_wire_and_what_holds() {
        let minutes = Minutes::from_hundredths(30);
        for (fault, expected) in [
            ("motor-plug.53-loose:0.1", "pulls out"),
            ("motor-53.broken-inside:0.1", "stretches"),
            ("motor-plug.53b-loose:0.1", "holds"),
            ("motor-plug.53-open", "holds"),
        ] {
            let mut world = wiping(fault);
            let at = point(&world, "motor-plug 53");
            let seen = words(&world.tug(at, minutes).unwrap());
            let falters = fault.contains("motor-plug.53-loose") || fault.contains("inside");
            assert_eq!(seen[0], expected, "{fault}");
            assert_eq!(seen[1] == "the motor falters", falters, "{fault}");
        }
    }

    #[test]
    fn moving_a_plug_moves_its_pins_and_wires_and_nothing_far_off() {
        let minutes = Minutes::from_hundredths(30);
        for (fault, moved, falters) in [
            ("motor-plug.53-loose:0.1", "motor-plug", true),
            ("motor-53.broken-inside:0.1", "motor-plug", true),
            ("motor-plug.53-loose:0.1", "motor-53", true),
            ("motor-plug.53-loose:0.1", "bulkhead", false),
            ("bulkhead.30-loose:0.1", "bulkhead", true),
        ] {
            let mut world = wiping(fault);
            let moved = world.vehicle.find(moved).unwrap();
            let seen = words(&world.wiggle(moved, minutes).unwrap());
            assert_eq!(seen == ["the motor falters"], falters, "{fault}");
            assert_eq!(world.touched, falters);
        }
    }
}
