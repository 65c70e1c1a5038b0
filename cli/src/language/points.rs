//! Points and wires: `motor 53`, `motor.53`, `bat+`, `harness motor 53`.
//!
//! Names of components may be abbreviated, names of terminals never. A stretch of words is read in
//! every way that uses it up; the best fit wins, and ways that fit alike are a question back.

use groundside_engine::vehicle::{ComponentId, Kind, Point, Terminal};

use super::names::{Best, Found, Named, OTHER_NAME, Rank, is_word};
use super::token::Words;
use super::words::{HARNESS, POINT_WORDS, PointAlias, TERMINAL_NOUNS, TERMINAL_WORDS, is_filler};
use super::{Language, Problem};

/// Rank of a terminal whose component was named before it.
const SAME_COMPONENT: Rank = 3;

impl Language<'_> {
    /// Reads one point from free text.
    ///
    /// # Errors
    /// [`Problem`] when it names none, or several alike.
    pub fn read_point(&self, text: &str) -> Result<Point, Problem> {
        let words = Words::of(text);
        self.advised(&words, |words| {
            match self.points(words, 0, 1..=1)?.as_slice() {
                [point, ..] => Ok(*point),
                [] => Err(Problem::at(
                    words,
                    0,
                    "Name a point: a component and its terminal.",
                )),
            }
        })
    }

    /// Reads the words from `at` on as points, as many as `count` allows.
    pub(super) fn points(
        &self,
        words: &Words<'_>,
        at: usize,
        count: std::ops::RangeInclusive<usize>,
    ) -> Result<Vec<Point>, Problem> {
        let mut best = Best::new();
        for (points, rank) in self.sequences(words, at, *count.end(), None) {
            if points.len() >= *count.start() {
                best.offer(points, rank);
            }
        }
        match best.named() {
            Named::One(points) => Ok(points),
            Named::Several(ways) => Err(self.several_ways(words, at, &ways)),
            Named::None => Err(self.why_no_points(words, at, *count.end())),
        }
    }

    /// Every way to read all words from `at` on as up to `left` points.
    /// Behind a point, a terminal alone is one of the same component: `volts motor 53 31`.
    fn sequences(
        &self,
        words: &Words<'_>,
        at: usize,
        left: usize,
        before: Option<ComponentId>,
    ) -> Vec<(Vec<Point>, Rank)> {
        let mut ways = Vec::new();
        let mut at = at;
        loop {
            if at >= words.len() {
                ways.push((Vec::new(), 0));
                break;
            }
            if left > 0 {
                let mut found = self.points_at(words, at);
                if let Some(before) = before {
                    self.terminals(words, before, at, SAME_COMPONENT, &mut found);
                    // What has one terminal needs no name for it, but it is named once.
                    found.retain(|f| f.next > at);
                }
                for found in found {
                    let more = Some(found.item.component);
                    for (mut rest, rank) in self.sequences(words, found.next, left - 1, more) {
                        rest.insert(0, found.item);
                        ways.push((rest, rank + found.rank));
                    }
                }
            }
            if !is_filler(words.text(at)) {
                break;
            }
            at += 1;
        }
        ways
    }

    /// Every point whose name begins at `at`.
    pub(super) fn points_at(&self, words: &Words<'_>, at: usize) -> Vec<Found<Point>> {
        let mut found = Vec::new();
        for (name, alias) in POINT_WORDS {
            if words.have(at, name) {
                found.extend(self.alias(alias).map(|item| Found {
                    item,
                    next: at + name.len(),
                    rank: OTHER_NAME,
                }));
            }
        }
        found.extend(self.side_of_battery(words, at));
        let harness = |at: usize| HARNESS.contains(&words.text(at));
        if harness(at) {
            let mut from = at + 1;
            while words.text(from) == "side" || is_filler(words.text(from)) {
                from += 1;
            }
            for inner in self.components.at(words.list(), from) {
                if let Some(loom) = self.connector_of(inner.item) {
                    self.terminals(words, loom, inner.next, inner.rank, &mut found);
                }
            }
        }
        if matches!(words.text(at + 1), "+" | "-") && words.text(at) == "b" {
            return found;
        }
        for outer in self.components.at(words.list(), at) {
            self.terminals(words, outer.item, outer.next, outer.rank, &mut found);
            if harness(outer.next)
                && let Some(loom) = self.connector_of(outer.item)
            {
                let from = outer.next + 1 + usize::from(words.text(outer.next + 1) == "side");
                self.terminals(words, loom, from, outer.rank, &mut found);
            }
        }
        found
    }

    /// The terminals of a component that are named at `at`; one alone needs no name.
    fn terminals(
        &self,
        words: &Words<'_>,
        component: ComponentId,
        at: usize,
        rank: Rank,
        found: &mut Vec<Found<Point>>,
    ) {
        let terminals = &self.vehicle.component(component).terminals;
        let mut add = |terminal, next| {
            found.push(Found {
                item: Point {
                    component,
                    terminal,
                },
                next,
                rank,
            });
        };
        if terminals.len() == 1 {
            add(0, at);
        }
        let noun = |at: usize| TERMINAL_NOUNS.contains(&words.text(at));
        // `motor 53`, `motor terminal 53`, `motor at the terminal 53`
        let small = (at..words.len())
            .take_while(|n| is_filler(words.text(*n)))
            .count();
        let from = if noun(at + small) { at + small + 1 } else { at };
        for (place, terminal) in terminals.iter().enumerate() {
            let Some(next) = terminal_end(words, from, terminal.name.as_str()) else {
                continue;
            };
            add(place, next);
            // `battery pos post`: of a battery the noun is a terminal's own name.
            let own =
                |other: &Terminal| terminal_end(words, from, other.name.as_str()) == Some(next + 1);
            if noun(next) && !terminals.iter().any(own) {
                add(place, next + 1);
            }
        }
    }

    /// `positive battery clamp`, `negative battery post`: the side told first.
    fn side_of_battery(&self, words: &Words<'_>, at: usize) -> Option<Found<Point>> {
        let known = TERMINAL_WORDS
            .iter()
            .find(|(typed, _)| *typed == words.text(at));
        let side = known.map_or(words.text(at), |(_, meant)| *meant);
        let is_battery =
            |id: &ComponentId| matches!(self.vehicle.component(*id).kind, Kind::Battery(_));
        let component = self.vehicle.ids().find(is_battery)?;
        let battery = self.vehicle.component(component);
        let (name, next) = match words.text(at + 2) {
            _ if !is_word(words.text(at + 1), battery.id.as_str()) => return None,
            "post" | "pole" => (format!("{side}-post"), at + 3),
            "clamp" | "terminal" => (side.to_owned(), at + 3),
            _ => (side.to_owned(), at + 2),
        };
        let terminal = battery.terminal(&name)?;
        let item = Point {
            component,
            terminal,
        };
        let rank = OTHER_NAME;
        Some(Found { item, next, rank })
    }

    fn alias(&self, alias: PointAlias) -> Option<Point> {
        let point = |wanted: fn(&Kind) -> bool, terminal: Option<&str>| {
            self.vehicle.ids().find_map(|component| {
                let data = self.vehicle.component(component);
                let terminal = match terminal {
                    Some(name) => data.terminal(name),
                    None => (!data.terminals.is_empty()).then_some(0),
                };
                let terminal = terminal.filter(|_| wanted(&data.kind))?;
                Some(Point {
                    component,
                    terminal,
                })
            })
        };
        match alias {
            PointAlias::Battery(name) => point(|kind| matches!(kind, Kind::Battery(_)), Some(name)),
            PointAlias::Body => point(|kind| matches!(kind, Kind::Body), None),
            PointAlias::Case => point(|kind| matches!(kind, Kind::Motor(_)), Some("31")),
        }
    }

    /// Where the black lead goes when nothing is said.
    pub(super) fn battery_neg(&self) -> Option<Point> {
        self.alias(PointAlias::Battery("neg"))
    }

    /// The connector whose far side this component is.
    pub(super) fn connector_of(&self, component: ComponentId) -> Option<ComponentId> {
        self.vehicle.ids().find(|id| {
            matches!(self.vehicle.component(*id).kind, Kind::Connector { mates: Some(far) } if far == component)
        })
    }
}

/// The word after a terminal's name that stands at `at`, word for word.
pub(super) fn terminal_end(words: &Words<'_>, at: usize, name: &str) -> Option<usize> {
    let mut next = at;
    for part in name.split('-') {
        let typed = words.text(next);
        if typed != part && !TERMINAL_WORDS.contains(&(typed, part)) {
            return None;
        }
        next += 1;
    }
    Some(next)
}
