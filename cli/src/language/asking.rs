//! The question back when words are no points, or several.

use std::ops::Range;

use groundside_engine::ident::nearest;
use groundside_engine::vehicle::{ComponentId, Point};

use super::names::{Best, Named, likeliest};
use super::points::terminal_end;
use super::things::is_connector;
use super::token::Words;
use super::words::{HARNESS, is_filler};
use super::{Language, Problem, listed};

impl Language<'_> {
    /// What to say when words fit several readings.
    pub(super) fn several_ways(
        &self,
        words: &Words<'_>,
        at: usize,
        ways: &[Vec<Point>],
    ) -> Problem {
        let name = |way: &Vec<Point>| {
            let points: Vec<String> = way.iter().map(|p| self.vehicle.point_name(*p)).collect();
            points.join(" to ")
        };
        let names: Vec<String> = ways.iter().map(name).collect();
        let message = format!(
            "`{}` could be {}.",
            words.typed(at..words.len()),
            listed(&names, "or")
        );
        Problem::at(words, at, message)
            .offering(names.iter().map(|name| words.with(at..words.len(), name)))
    }

    /// Why words are no points: walks them as far as they are, and looks at what stands there.
    pub(super) fn why_no_points(&self, words: &Words<'_>, at: usize, most: usize) -> Problem {
        let mut at = at;
        let mut count = 0;
        loop {
            while at < words.len()
                && is_filler(words.text(at))
                && self.points_at(words, at).is_empty()
            {
                at += 1;
            }
            let Some(found) = likeliest(self.points_at(words, at)) else {
                break;
            };
            if count == most {
                let which = if most == 1 {
                    "One point is"
                } else {
                    "Two points are"
                };
                let message = format!(
                    "{which} all there is room for, and `{}` is more.",
                    words.typed(at..words.len())
                );
                return Problem::at(words, at, message);
            }
            count += 1;
            at = found.next;
        }
        if at >= words.len() {
            let missing = if count == 0 {
                "a point"
            } else {
                "a second point"
            };
            return Problem::at(
                words,
                at,
                format!("Name {missing}: a component and its terminal."),
            );
        }
        self.why_no_point(words, at)
    }

    fn why_no_point(&self, words: &Words<'_>, at: usize) -> Problem {
        let mut best = Best::new();
        let found = self.components.at(words.list(), at);
        let next = found.iter().map(|f| f.next).max().unwrap_or(at + 1);
        for f in found.iter().filter(|f| f.next == next) {
            best.offer(f.item, f.rank);
        }
        match best.named() {
            Named::One(component) => self.which_terminal(words, component, at..next),
            Named::Several(all) => {
                let ids: Vec<&str> = all
                    .iter()
                    .map(|id| self.vehicle.component(*id).id.as_str())
                    .collect();
                let typed = words.typed(at..next);
                let message = format!("`{typed}` could be {}.", listed(&ids, "or"));
                Problem::at(words, at, message)
                    .offering(ids.iter().map(|id| words.with(at..next, id)))
            }
            Named::None => self.unknown_point(words, at),
        }
    }

    fn which_terminal(
        &self,
        words: &Words<'_>,
        component: ComponentId,
        named: Range<usize>,
    ) -> Problem {
        let data = self.vehicle.component(component);
        let id = data.id.as_str();
        if data.terminals.is_empty() {
            let ends: Vec<String> = match data.paths.first() {
                Some(path) if data.is_conductor() => [path.p, path.n]
                    .into_iter()
                    .filter_map(|node| self.vehicle.point_at(node))
                    .map(|point| self.vehicle.point_name(point))
                    .collect(),
                _ => Vec::new(),
            };
            let message = if ends.is_empty() {
                format!("There is nothing to probe on {id}.")
            } else {
                format!("A probe goes on an end of {id}: {}.", listed(&ends, "or"))
            };
            let offers = ends.iter().map(|end| words.with(named.clone(), end));
            return Problem::at(words, named.start, message).offering(offers);
        }
        let names: Vec<&str> = data.terminals.iter().map(|t| t.name.as_str()).collect();
        let all = listed(&names, "or");
        let next = words.text(named.end);
        // A wrong terminal's name is replaced, what begins another point is not.
        let wrong =
            !next.is_empty() && !is_filler(next) && self.points_at(words, named.end).is_empty();
        // `bulkhead 30`: of a plug in the run of a loom, which side of it.
        let begun = format!("{next}-");
        let sides: Vec<&str> = names
            .iter()
            .copied()
            .filter(|name| name.starts_with(&begun))
            .collect();
        if wrong && !sides.is_empty() {
            let message = format!("Which side of {id} {next}: {}?", listed(&sides, "or"));
            let offers = sides
                .iter()
                .map(|name| words.with(named.start..named.end + 1, &format!("{id} {name}")));
            return Problem::at(words, named.end, message).offering(offers);
        }
        let (at, to, message) = if wrong {
            let next = words.typed(named.end..named.end + 1);
            (
                named.end,
                named.end + 1,
                format!("There is no terminal `{next}` on {id}; it has {all}."),
            )
        } else {
            (
                named.start,
                named.end,
                format!("Which terminal of {id}: {all}?"),
            )
        };
        // Before a terminal's name stands a part of the component's, not another terminal.
        let known = |name: &&str| terminal_end(words, named.end + 1, name).is_some();
        let names = if wrong && names.iter().any(known) {
            Vec::new()
        } else {
            names
        };
        let offers = names
            .iter()
            .map(|name| words.with(named.start..to, &format!("{id} {name}")));
        Problem::at(words, at, message).offering(offers)
    }

    /// The question back to a point of the loom that is told without its plug: `volts loom 31`, `volts loom`.
    fn which_plug(&self, words: &Words<'_>, at: usize) -> Problem {
        let told = (at + 1..words.len()).find(|n| !is_filler(words.text(*n)));
        let of_loom = |point: &Point| {
            let component = self.vehicle.component(point.component);
            let name = component.terminals[point.terminal].name.as_str();
            // What sits behind a plug has its loom's side there.
            let named = told.is_none_or(|n| terminal_end(words, n, name).is_some());
            named && self.connector_of(point.component).is_none()
        };
        let plug = |point: &Point| is_connector(self.vehicle.component(point.component));
        let points: Vec<Point> = self.vehicle.points().filter(of_loom).collect();
        let points: Vec<Point> = match told {
            Some(_) => points,
            None => points.into_iter().filter(plug).collect(),
        };
        let names: Vec<String> = points
            .into_iter()
            .map(|point| self.vehicle.point_name(point))
            .collect();
        let to = told.filter(|_| !names.is_empty()).map_or(at + 1, |n| n + 1);
        let typed = words.typed(at..to);
        let message = match (names.is_empty(), told) {
            (false, Some(_)) => format!("`{typed}` at which end: {}?", listed(&names, "or")),
            (false, None) => format!(
                "A loom is probed at its plugs, a pin at a time: {}?",
                listed(&names, "or")
            ),
            (true, _) => format!("There is no `{typed}` to probe."),
        };
        let offers = names.iter().map(|name| words.with(at..to, name));
        Problem::at(words, at, message).offering(offers)
    }

    fn unknown_point(&self, words: &Words<'_>, at: usize) -> Problem {
        if HARNESS.contains(&words.text(at)) {
            return self.which_plug(words, at);
        }
        let typed = words.text(at);
        let owners: Vec<String> = self
            .vehicle
            .points()
            .filter(|p| {
                let name = &self.vehicle.component(p.component).terminals[p.terminal].name;
                terminal_end(words, at, name.as_str()).is_some()
            })
            .map(|point| self.vehicle.point_name(point))
            .collect();
        let shown = words.typed(at..at + 1);
        if !owners.is_empty() {
            let message = format!("`{shown}` of what: {}?", listed(&owners, "or"));
            return Problem::at(words, at, message)
                .offering(owners.iter().map(|name| words.with(at..at + 1, name)));
        }
        let probed = self
            .vehicle
            .components
            .iter()
            .filter(|c| !c.terminals.is_empty());
        let near = nearest(typed, probed.map(|c| c.id.as_str()));
        let message = if near.is_empty() {
            format!("There is no `{shown}` to probe.")
        } else {
            format!(
                "There is no `{shown}` to probe; did you mean {}?",
                listed(&near, "or")
            )
        };
        Problem::at(words, at, message).offering(near.iter().map(|id| words.with(at..at + 1, id)))
    }
}
