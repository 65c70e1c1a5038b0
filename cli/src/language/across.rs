//! What a drop is across: `drop fusible link`, `drop motor plug 53`, `ohms front ground`.

use groundside_engine::vehicle::{ComponentId, Kind, Node, Point, Terminal};

use super::names::{Best, Named, Rank};
use super::token::Words;
use super::words::{TERMINAL_NOUNS, TERMINAL_WORDS, is_filler};
use super::{Language, Problem, choices, listed};

/// How well the name of a path fits whose component is not named.
const UNNAMED: Rank = 3;

/// Words that say that a drop is across what follows them.
pub(super) const ACROSS: [&str; 4] = ["across", "over", "through", "along"];

impl Language<'_> {
    /// The two ends of what all words from `at` on name: of a component with one way through it, or of the pin,
    /// contact or path of it that is named behind it. `None` when they name no such thing.
    pub(super) fn ends(
        &self,
        words: &Words<'_>,
        at: usize,
        worst: Rank,
    ) -> Option<Result<(Point, Point), Problem>> {
        let small = |word: &str| is_filler(word) || ACROSS.contains(&word);
        let from = at
            + (at..words.len())
                .take_while(|n| small(words.text(*n)))
                .count();
        let mut best: Best<(ComponentId, Point, Point)> = Best::new();
        // `drop motor 53` is asked about: a terminal and a wire are called so.
        let point = self.points(words, at, 1..=1).is_ok();
        for found in self.components.at(words.list(), from) {
            let nouns = |word: &&str| {
                !is_filler(word) && !TERMINAL_NOUNS.contains(word) && *word != "contact"
            };
            // `drop battery positive post`: the joint has the terminal's name.
            let meant = |word| {
                let known = TERMINAL_WORDS.iter().find(|(typed, _)| *typed == word);
                known.map_or(word, |(_, meant)| *meant)
            };
            let rest: Vec<&str> = (found.next..words.len())
                .map(|n| words.text(n))
                .filter(nouns)
                .map(meant)
                .collect();
            if point && self.vehicle.component(found.item).is_conductor() || found.rank > worst {
                continue;
            }
            if let Some((p, n)) = self.ends_of(found.item, &rest.join("-")) {
                best.offer((found.item, p, n), found.rank);
            }
        }
        // `ohms shunt field`: a path by its name alone.
        let alone: Vec<&str> = (from..words.len()).map(|n| words.text(n)).collect();
        let alone = alone.join("-");
        if alone.contains('-') && UNNAMED <= worst {
            for id in self.vehicle.ids() {
                if let Some((p, n)) = self.ends_of(id, &alone) {
                    best.offer((id, p, n), UNNAMED);
                }
            }
        }
        match best.named() {
            Named::None => None,
            Named::One((_, p, n)) => Some(Ok((p, n))),
            Named::Several(all) => {
                let ids: Vec<&str> = all
                    .iter()
                    .map(|(id, ..)| self.vehicle.component(*id).id.as_str())
                    .collect();
                let typed = words.typed(from..words.len());
                let message = format!("`{typed}` could be {}.", listed(&ids, "or"));
                let whole = |p: &Point, n: &Point| {
                    format!(
                        "{} {}",
                        self.vehicle.point_name(*p),
                        self.vehicle.point_name(*n)
                    )
                };
                Some(Err(Problem::at(words, from, message)
                    .offering(all.iter().map(|(_, p, n)| {
                        words.with(from..words.len(), &whole(p, n))
                    }))))
            }
        }
    }

    /// The ends of a path by its name, or of the whole component without one.
    pub(super) fn ends_of(&self, id: ComponentId, path: &str) -> Option<(Point, Point)> {
        let component = self.vehicle.component(id);
        let own = |terminal| Point {
            component: id,
            terminal,
        };
        if path.is_empty() && component.terminals.len() == 2 {
            return Some((own(0), own(1)));
        }
        let mut named = component
            .paths
            .iter()
            .filter(|known| path.is_empty() || known.name.as_str() == path);
        let only = named.next().filter(|_| named.next().is_none())?;
        let point = |node: Node| {
            let terminal = component.terminals.iter().position(|t| t.node == node);
            terminal.map(own).or_else(|| self.vehicle.point_at(node))
        };
        Some((point(only.p)?, point(only.n)?)).filter(|(p, n)| p != n)
    }

    /// The ends of a lead: two points, or what it goes across, the end behind it first: `bypass the breaker`.
    pub(super) fn bridged(&self, words: &Words<'_>, at: usize) -> Result<(Point, Point), Problem> {
        let problem = match self.points(words, at, 2..=2) {
            Ok(points) => return Ok((points[0], points[1])),
            Err(problem) => problem,
        };
        let small = |word: &str| is_filler(word) || ACROSS.contains(&word);
        let from = at
            + (at..words.len())
                .take_while(|n| small(words.text(*n)))
                .count();
        // Of several that are named alike none is taken because it alone has but two ends.
        let named = self.components.whole(words.list(), from, |_| true);
        let several = matches!(named, Named::Several(_));
        if let Some(ends) = self.ends(words, at, Rank::MAX).filter(|_| !several) {
            return ends.map(|(p, n)| (n, p));
        }
        let parts = match named {
            Named::One(id) => vec![id],
            Named::Several(all) => all,
            Named::None => return Err(problem),
        };
        let ways: Vec<String> = parts
            .iter()
            .flat_map(|id| {
                let paths = self.vehicle.component(*id).paths.iter();
                paths.filter_map(|path| self.ends_of(*id, path.name.as_str()))
            })
            .map(|(p, n)| {
                let [first, second] = [n, p].map(|point| self.vehicle.point_name(point));
                format!("jumper {first} {second}")
            })
            .collect();
        if ways.is_empty() {
            return Err(problem);
        }
        let typed = words.typed(from..words.len());
        let message = format!("A lead across which way of `{typed}`: {}?", choices(&ways));
        Err(Problem::at(words, from, message).offering(ways))
    }

    /// The question back to `voltage drop on the ground side`.
    fn which_side(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        let said = |names: &[&str]| (at..words.len()).any(|n| names.contains(&words.text(n)));
        if !said(&["side"]) {
            return None;
        }
        let motor = self
            .vehicle
            .ids()
            .find(|&id| matches!(self.vehicle.component(id).kind, Kind::Motor(_)))?;
        let ground = said(&["ground", "earth", "negative", "return"]);
        let fit = |name: &str| (name == "31") == ground;
        let terminals = self.vehicle.component(motor).terminals.iter();
        let ends: Vec<String> = terminals
            .filter(|terminal| fit(terminal.name.as_str()))
            .map(|terminal| {
                let post = if ground { "neg" } else { "pos" };
                let motor = &self.vehicle.component(motor).id;
                format!("drop battery {post} {motor} {}", terminal.name)
            })
            .collect();
        let message = format!(
            "A drop is between two points; of that side it is {}.",
            choices(&ends)
        );
        Some(Problem::at(words, at, message).offering(ends))
    }

    /// What to say of a drop that has one point, or a component with several ways through it.
    pub(super) fn which_drop(&self, words: &Words<'_>, at: usize, problem: Problem) -> Problem {
        if let Ok([red]) = self.points(words, at, 1..=1).as_deref() {
            let red = self.vehicle.point_name(*red);
            let message =
                format!("A drop is between two points; `volts {red}` is against battery neg.");
            let wire = self.wire(words, at).ok();
            let wire = wire.and_then(|wire| self.ends_of(wire, ""));
            let along = wire.map(|(p, n)| {
                let ends = [p, n].map(|end| self.vehicle.point_name(end));
                format!("drop {}", ends.join(" "))
            });
            return Problem::at(words, words.len(), message)
                .offering([format!("volts {red}")].into_iter().chain(along));
        }
        if let Some(question) = self.which_side(words, at) {
            return question;
        }
        let Named::One(id) = self.components.whole(words.list(), at, |_| true) else {
            return problem;
        };
        let component = self.vehicle.component(id);
        let ways: Vec<String> = component
            .paths
            .iter()
            .filter(|path| self.ends_of(id, path.name.as_str()).is_some())
            .map(|path| format!("drop {} {}", component.id, path.name))
            .collect();
        if ways.is_empty() {
            return self.which_run(words, id).unwrap_or(problem);
        }
        let message = format!(
            "A drop over which part of {}: {}?",
            component.id,
            listed(&ways, "or")
        );
        Problem::at(words, words.len(), message).offering(ways)
    }

    /// The question back to a drop of a part with several terminals and no way through it that is tried so, as of a motor:
    /// along which of the wires that end on it.
    fn which_run(&self, words: &Words<'_>, id: ComponentId) -> Option<Problem> {
        let component = self.vehicle.component(id);
        let along = |terminal: &Terminal| {
            let named = format!("{} {}", component.id, terminal.name);
            let wire = self.wire(&Words::of(&named), 0).ok()?;
            let (p, n) = self.ends_of(wire, "")?;
            let [p, n] = [p, n].map(|end| self.vehicle.point_name(end));
            Some(format!("drop {p} {n}"))
        };
        let ways: Vec<String> = component.terminals.iter().filter_map(along).collect();
        if ways.is_empty() {
            return None;
        }
        let message = format!(
            "A drop is between two points; of the wires on {} it is {}.",
            component.id,
            choices(&ways)
        );
        Some(Problem::at(words, words.len(), message).offering(ways))
    }
}
