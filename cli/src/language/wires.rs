//! Wires, which have no terminals of their own: named, or told by their ends.

use groundside_engine::ident::nearest;
use groundside_engine::vehicle::{Component, ComponentId, Point};

use super::names::{Named, trimmed};
use super::token::Words;
use super::{Language, Problem, listed};

impl Language<'_> {
    /// Reads the words from `at` on as a wire: by name, by its two ends, or by a point it alone is on.
    pub(super) fn wire(&self, words: &Words<'_>, at: usize) -> Result<ComponentId, Problem> {
        let conducts = |id: ComponentId| self.vehicle.component(id).is_conductor();
        match self.components.whole(words.list(), at, conducts) {
            Named::One(wire) => return Ok(wire),
            Named::Several(wires) => return Err(self.several(words, at..words.len(), &wires)),
            Named::None => {}
        }
        if (at..words.len()).any(|n| ["jumper", "jumpers"].contains(&words.text(n))) {
            let message = "The clamp goes round the vehicle's wires and straps; what a jumper lead carries, the \
                           meter shows in its place: `amps` between the same two points.";
            return Err(Problem::at(words, at, message).offering(["help amps".to_owned()]));
        }
        // `wire`, `cable` before two ends is only the noun.
        let (from, _) = trimmed(words.list(), at);
        let noun = ["wire", "cable", "lead", "strap"].contains(&words.text(from));
        let from = from + usize::from(noun);
        let points = self
            .points(words, from, 1..=2)
            .map_err(|problem| self.no_wire(words, at, problem))?;
        let wires = self.wires_at(&points);
        match wires.as_slice() {
            [wire] => Ok(*wire),
            [] => {
                let typed = words.typed(from..words.len());
                let message = match points.len() {
                    1 => format!("No wire ends at `{typed}`."),
                    _ => format!("No single wire runs there: `{typed}`."),
                };
                Err(Problem::at(words, from, message))
            }
            _ => Err(self.several(words, at..words.len(), &wires)),
        }
    }

    /// Wires and straps with their ends on these points; at one point alone, the loom side of a plug
    /// counts as the point.
    fn wires_at(&self, points: &[Point]) -> Vec<ComponentId> {
        let ends = |wire: &Component| {
            wire.paths
                .first()
                .map(|path| (path.p, path.n))
                .filter(|_| wire.is_conductor())
        };
        let with = |points: &[Point]| -> Vec<ComponentId> {
            let node = |n: usize| points.get(n).map(|&p| self.vehicle.node(p));
            let joins = |(p, n)| match (node(0), node(1)) {
                (Some(a), Some(b)) => (p, n) == (a, b) || (n, p) == (a, b),
                (Some(a), None) => p == a || n == a,
                _ => false,
            };
            self.vehicle
                .ids()
                .filter(|id| ends(self.vehicle.component(*id)).is_some_and(joins))
                .collect()
        };
        let found = with(points);
        if !found.is_empty() {
            return found;
        }
        let loom: Vec<Point> = points.iter().map(|p| self.loom_side(*p)).collect();
        with(&loom)
    }

    /// The loom side of a point behind a plug; the point itself when there is none.
    fn loom_side(&self, point: Point) -> Point {
        let name = &self.vehicle.component(point.component).terminals[point.terminal].name;
        let side = self.connector_of(point.component).and_then(|component| {
            let terminal = self.vehicle.component(component).terminal(name.as_str())?;
            Some(Point {
                component,
                terminal,
            })
        });
        side.unwrap_or(point)
    }

    fn no_wire(&self, words: &Words<'_>, at: usize, problem: Problem) -> Problem {
        if words.len() <= at {
            return problem;
        }
        let ids = self
            .vehicle
            .ids()
            .filter(|id| self.vehicle.component(*id).is_conductor());
        let names: Vec<&str> = ids
            .map(|id| self.vehicle.component(id).id.as_str())
            .collect();
        let typed = words.typed(at..words.len());
        let near = nearest(&typed.to_lowercase().replace(' ', "-"), names);
        if near.is_empty() {
            return problem;
        }
        let message = format!(
            "There is no wire `{typed}`; did you mean {}?",
            listed(&near, "or")
        );
        Problem::at(words, at, message)
            .offering(near.iter().map(|name| words.with(at..words.len(), name)))
    }
}
