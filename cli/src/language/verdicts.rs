//! What a learner holds to be wrong and what was done about it: symptoms, verdicts, repairs and the
//! write-up. Each can also be read from free text, as the hand-over form asks for them one by one.

use groundside_engine::scenario::Symptom;
use groundside_engine::vehicle::{ComponentId, Kind, ModeId};
use groundside_engine::world::{Action, Verdict, WriteUp};

use super::acts::text;
use super::conditions::behind_no_fault;
use super::modes::{SOME, fit_mode};
use super::names::{Best, Named, OTHER_NAME, Rank, trimmed};
use super::nouns::only_its_kind;
use super::things::{is_ground, is_linkage};
use super::token::{Word, Words};
use super::words::{DONE_WORDS, is_filler};
use super::{Command, Language, Only, Paper, Problem, listed, next_semicolon};

/// How much less a failure counts whose component is not named.
const UNNAMED: Rank = 2;

/// A reading that is worse than this may not be what was meant, so that others are held against it.
const DOUBTFUL: Rank = 3;

/// More verdicts than this are not all told: the component has to be named.
const MANY: usize = 16;

/// Words that leave a part of the write-up open.
const OPEN: [&str; 3] = ["none", "nothing", "unknown"];

/// The parts of a hand-over on one line, each with the words that begin it.
pub(super) const PARTS: [&[&str]; 4] = [
    &["complaint", "symptom"],
    &["cause", "because"],
    &["correction", "corrected", "repaired"],
    &["note", "text"],
];

/// A stretch of a hand-over's words that tells one part.
pub(super) struct Part {
    /// Which, by its place in [`PARTS`].
    pub(super) which: usize,
    /// Where it starts, with the word that begins it.
    start: usize,
    /// Where what is told of it begins.
    pub(super) begin: usize,
    /// Where it ends.
    pub(super) end: usize,
}

/// Where a hand-over ends whose first words, up to a semicolon at `to`, are `words`: behind the last
/// stretch that begins with a part, or at the end of the line when one of them is the note.
pub(super) fn hand_over_end(line: &str, words: &Words<'_>, at: usize, to: usize) -> usize {
    let note =
        |words: &Words<'_>, at: usize| (at..words.len()).any(|n| PARTS[3].contains(&words.text(n)));
    let part = |words: &Words<'_>| PARTS.iter().any(|part| part.contains(&words.text(0)));
    let mut to = to;
    if note(words, at) {
        return line.len();
    }
    while to < line.len() {
        let end = next_semicolon(line, to + 1);
        let more = Words::new(line, to + 1..end);
        if !part(&more) {
            break;
        }
        if note(&more, 0) {
            return line.len();
        }
        to = end;
    }
    to
}

impl Language<'_> {
    /// Reads a symptom from free text: its word, some of it, or how it is commonly put.
    ///
    /// # Errors
    /// [`Problem`] when it names none, or several alike; suggestions are symptoms' words.
    pub fn read_symptom(&self, text: &str) -> Result<Symptom, Problem> {
        let words = Words::of(text);
        self.advised(&words, |words| self.symptom(words, 0))
    }

    /// Reads a verdict from free text: a component and its failure.
    ///
    /// # Errors
    /// [`Problem`] when it names none, or several alike; suggestions are texts that name one.
    pub fn read_verdict(&self, text: &str) -> Result<Verdict, Problem> {
        let words = Words::of(text);
        self.advised(&words, |words| self.verdict(words, 0))
    }

    /// Reads from free text what was put right: a component, with or without what was done to it.
    ///
    /// # Errors
    /// [`Problem`] when it names none, or several alike; suggestions are texts that name one.
    pub fn read_correction(&self, text: &str) -> Result<ComponentId, Problem> {
        let words = Words::of(text);
        self.advised(&words, |words| self.correction(words, 0))
    }

    /// What the words from `at` on say was put right: `mended motor plug`, `new left pivot fitted`, `cleaned the earth`.
    fn correction(&self, words: &Words<'_>, at: usize) -> Result<ComponentId, Problem> {
        let named = self.component(words, at, "component", |_| true);
        if named.is_ok() {
            return named;
        }
        // `left pivot replace`, `motor brushes`: with the repair, as it was ordered.
        if let Ok(Action::Repair { component, .. }) = self.repair(words, at, "repair") {
            return Ok(component);
        }
        let told = words.sifted(at, &DONE_WORDS);
        if told.len() <= at || told.len() == words.len() {
            return named;
        }
        match self.component(&told, at, "component", |_| true) {
            Ok(id) => Ok(id),
            // `new brushes fitted`: the repair that one component has.
            Err(problem) => match self.repair(&told, at, "repair") {
                Ok(Action::Repair { component, .. }) => Ok(component),
                _ => Err(problem),
            },
        }
    }

    fn symptom(&self, words: &Words<'_>, at: usize) -> Result<Symptom, Problem> {
        // Small words may stand anywhere in a phrase: `stops after a while`, `does not park at all`.
        let small = |word: &Word| {
            is_filler(&word.text)
                || ["a", "all", "it", "they", "wipers"].contains(&word.text.as_str())
        };
        let list: Vec<Word> = words.list()[at.min(words.len())..]
            .iter()
            .filter(|w| !small(w))
            .cloned()
            .collect();
        let typed = words.typed(at..words.len());
        let (message, offers) = match self.symptoms.whole(&list, 0, |_| true) {
            Named::One(symptom) => return Ok(symptom),
            Named::Several(could) => {
                let could: Vec<&str> = could.into_iter().map(Symptom::word).collect();
                (
                    format!("`{typed}` could be {}.", listed(&could, "or")),
                    could,
                )
            }
            Named::None => {
                let all: Vec<&str> = Symptom::ALL.into_iter().map(Symptom::word).collect();
                let message = if typed.is_empty() {
                    format!("Which symptom: {}?", listed(&all, "or"))
                } else {
                    format!("`{typed}` is no symptom; there is {}.", listed(&all, "and"))
                };
                (message, all)
            }
        };
        let offers = offers.iter().map(|word| words.with(at..words.len(), word));
        Err(Problem::at(words, at, message).offering(offers))
    }

    /// Reads the words from `at` on as a component and one of its failures, in either order, also `bad earth at the motor`.
    pub(super) fn verdict(&self, words: &Words<'_>, at: usize) -> Result<Verdict, Problem> {
        self.verdict_told(words, at).or_else(|problem| {
            let turned = self.turned(words, at);
            let mut read = turned.iter().map(|words| self.verdict_told(words, at));
            read.find_map(Result::ok).ok_or(problem)
        })
    }

    fn verdict_told(&self, words: &Words<'_>, at: usize) -> Result<Verdict, Problem> {
        let at = self.after_no_fault(words, at)?;
        let (from, to) = trimmed(words.list(), at);
        match self.failed_earths(words, at).as_slice() {
            [] => {}
            [verdict] => return Ok(*verdict),
            all => return Err(self.several_verdicts(words, from..to, all)),
        }
        let list = &words.list()[..to];
        let mut best = Best::new();
        let mut alone: Best<(ComponentId, usize)> = Best::new();
        for start in from..to {
            for found in self.components.at(list, start) {
                let rest: Vec<&str> = list[from..start]
                    .iter()
                    .chain(&list[found.next..])
                    .map(|w| w.text.as_str())
                    .collect();
                let component = found.item;
                // A component named first is the likelier reading.
                let rank = found.rank + Rank::from(start > from);
                for (mode, fits) in self.modes(component, &rest) {
                    best.offer(Verdict { component, mode }, rank + fits);
                }
                let unread = Rank::try_from(rest.len()).unwrap_or(Rank::MAX / 8);
                let hopeless = Rank::from(self.modes[component.index()].is_empty());
                alone.offer((component, found.next), rank + hopeless + unread * 4);
            }
        }
        let conditions = self.conditions(words, from);
        // What is named word for word is meant, whatever its failure.
        let named = (from..to).any(|start| {
            let mut found = self.components.at(list, start).into_iter();
            found.any(|f| f.rank <= OTHER_NAME && !self.modes[f.item.index()].is_empty())
        });
        if !named && conditions.is_empty() && best.is_worse_than(DOUBTFUL) {
            self.failures(list, from, &mut best);
        }
        let named = match best.named() {
            // `bulkhead h-open` and `bulkhead-h open` differ by where the hyphen is.
            Named::Several(all) => {
                let typed = words.whole(from..to).to_lowercase().replace('.', " ");
                let mut same = all.iter().filter(|v| self.verdict_name(v) == typed);
                match (same.next(), same.next()) {
                    (Some(verdict), None) => Named::One(*verdict),
                    _ => Named::Several(all),
                }
            }
            named => named,
        };
        match (named, alone.named()) {
            (Named::Several(all), _) if all.len() > MANY => {
                let typed = words.typed(from..to);
                let message =
                    format!("`{typed}` is a failure of many parts: name the part as well.");
                let near = self.several_verdicts(words, from..to, &all);
                Err(Problem::at(words, from, message).offering(near.suggestions))
            }
            (Named::One(verdict), _) => Ok(verdict),
            (Named::None, _) if !conditions.is_empty() => match conditions.as_slice() {
                [verdict] => Ok(*verdict),
                all => Err(self.several_verdicts(words, from..to, all)),
            },
            (Named::Several(all), _) => Err(self.several_verdicts(words, from..to, &all)),
            (Named::None, Named::One((component, next))) => {
                // `high speed relay open`: the wire for the high speed is no relay.
                let other = self.fails_of_kind(words, (from, to), &[component]);
                Err(other.unwrap_or_else(|| self.which_mode(words, from, to, component, next)))
            }
            (Named::None, Named::Several(all)) => {
                let all: Vec<ComponentId> = all.into_iter().map(|(id, _)| id).collect();
                let end = self
                    .components
                    .at(list, from)
                    .iter()
                    .map(|f| f.next)
                    .max()
                    .unwrap_or(to);
                let modes = |id: &ComponentId| {
                    let name = self.vehicle.component(*id).id.to_string();
                    let modes = self.mode_names(*id).into_iter();
                    modes.map(move |mode| format!("{name} {mode}"))
                };
                if let Some(problem) = self.fails_of_kind(words, (from, to), &all) {
                    return Err(problem);
                }
                let each = all.iter().flat_map(modes);
                let offers: Vec<String> = each.map(|whole| words.with(from..to, &whole)).collect();
                Err(self.several(words, from..end, &all).offering(offers))
            }
            (Named::None, Named::None) if self.fuse_named(words, at).is_some() => {
                let parts = self.protecting();
                let of = |id: &ComponentId| {
                    let name = self.vehicle.component(*id).id.to_string();
                    let modes = self.mode_names(*id).into_iter();
                    modes.map(move |mode| format!("{name} {mode}"))
                };
                let offers: Vec<String> = parts.iter().flat_map(of).collect();
                let offers = offers.iter().map(|whole| words.with(from..to, whole));
                Err(self.no_such_fuse(words, from, &parts).offering(offers))
            }
            (Named::None, Named::None) => {
                // The first word alone is asked about: what follows it is the failure.
                let first = words.typed(from..(from + 1).min(to));
                let first = Words::of(&first);
                let ids = self.component(&first, 0, "component", |c| !c.modes().is_empty());
                let Err(problem) = ids else {
                    return Err(Problem::at(
                        words,
                        from,
                        "Name a component and its failure.",
                    ));
                };
                let offers = problem
                    .suggestions
                    .iter()
                    .map(|id| words.with(from..from + 1, id));
                Err(Problem::at(words, from, problem.message.clone()).offering(offers))
            }
        }
    }

    /// Offers the failures that the words from `from` on name without their components: `dry bearing`.
    fn failures(&self, list: &[Word], from: usize, best: &mut Best<Verdict>) {
        let typed: Vec<&str> = list[from.min(list.len())..]
            .iter()
            .map(|word| word.text.as_str())
            .collect();
        let wire = ["wire", "cable", "lead", "strap"];
        let wire = typed.iter().any(|word| wire.contains(word));
        for component in self.vehicle.ids() {
            if wire && !self.vehicle.component(component).is_conductor() {
                continue;
            }
            for (mode, fits) in self.modes(component, &typed) {
                // Some of its words tell a failure nearly as well as all.
                let fits = if fits < SOME { fits } else { fits - SOME + 1 };
                best.offer(Verdict { component, mode }, UNNAMED + fits);
            }
        }
    }

    fn several_verdicts(
        &self,
        words: &Words<'_>,
        at: std::ops::Range<usize>,
        all: &[Verdict],
    ) -> Problem {
        let names: Vec<String> = all.iter().map(|v| self.verdict_name(v)).collect();
        let message = format!(
            "`{}` could be {}.",
            words.typed(at.clone()),
            listed(&names, "or")
        );
        Problem::at(words, at.start, message)
            .offering(names.iter().map(|name| words.with(at.clone(), name)))
    }

    /// A verdict as it is typed.
    pub(super) fn verdict_name(&self, v: &Verdict) -> String {
        let modes = self.modes[v.component.index()].iter();
        let mode = modes
            .filter(|(mode, _)| *mode == v.mode)
            .map(|(_, name)| name.as_str());
        let component = &self.vehicle.component(v.component).id;
        format!("{component} {}", mode.collect::<String>())
    }

    /// The failures that words tell of any ground there is: `rusty ground`, `corroded earth`, `bad ground`. Which ground it
    /// is is asked about, whatever word they are called by.
    pub(super) fn failed_earths(&self, words: &Words<'_>, at: usize) -> Vec<Verdict> {
        let (from, to) = trimmed(words.list(), at);
        let earth = |n: &usize| ["ground", "grounds", "earth", "earths"].contains(&words.text(*n));
        // A ground is named first or last; elsewhere it belongs to another name.
        let ends = [from, to.saturating_sub(1)];
        let Some(named) = ends
            .into_iter()
            .find(|n| (from..to).contains(n) && earth(n))
        else {
            return Vec::new();
        };
        let told: Vec<&str> = (from..to)
            .filter(|n| *n != named)
            .map(|n| words.text(n))
            .collect();
        let all = self.vehicle.ids().filter(|id| {
            let kind = &self.vehicle.component(*id).kind;
            matches!(kind, Kind::GroundPoint | Kind::Strap(_))
        });
        let mut best = Best::new();
        for component in all {
            for (mode, fits) in self.modes(component, &told) {
                best.offer(Verdict { component, mode }, fits);
            }
        }
        match best.named() {
            Named::None => Vec::new(),
            Named::One(one) => vec![one],
            Named::Several(all) => all,
        }
    }

    fn which_mode(
        &self,
        words: &Words<'_>,
        from: usize,
        to: usize,
        component: ComponentId,
        next: usize,
    ) -> Problem {
        let data = self.vehicle.component(component);
        let names = self.mode_names(component);
        let id = &data.id;
        // Whoever says linkage means all that moves in there.
        let all_of_it = names.is_empty() || matches!(data.kind, Kind::Linkage(_));
        if all_of_it && is_linkage(data) {
            return self.failures_of_linkage(words, from, to, (component, next));
        }
        let (at, message) = if names.is_empty() {
            (from, format!("No failure of {id} is known here."))
        } else if next >= to {
            (
                to,
                format!("Which failure of {id}: {}?", listed(&names, "or")),
            )
        } else {
            let typed = words.typed(next..to);
            (
                next,
                format!(
                    "No failure of {id} is `{typed}`; there is {}.",
                    listed(&names, "and")
                ),
            )
        };
        let offers = names
            .iter()
            .map(|name| words.with(from..to, &format!("{id} {name}")));
        Problem::at(words, at, message).offering(offers)
    }

    /// The question back when the linkage is held to have failed: what of it that can fail.
    fn failures_of_linkage(
        &self,
        words: &Words<'_>,
        from: usize,
        to: usize,
        (component, next): (ComponentId, usize),
    ) -> Problem {
        let told: Vec<&str> = (from..to)
            .filter(|n| *n >= next || *n < next.saturating_sub(1))
            .map(|n| words.text(n))
            .collect();
        let parts: Vec<ComponentId> = self
            .vehicle
            .ids()
            .filter(|id| is_linkage(self.vehicle.component(*id)))
            .collect();
        let verdicts = |typed: &[&str]| -> Vec<String> {
            let of = |id: &ComponentId| {
                let id = *id;
                let fits = self.modes(id, typed).into_iter();
                fits.map(move |(mode, _)| Verdict {
                    component: id,
                    mode,
                })
            };
            let all: Vec<Verdict> = parts.iter().flat_map(of).collect();
            all.iter()
                .map(|verdict| self.verdict_name(verdict))
                .collect()
        };
        let mut names = verdicts(&told);
        if names.is_empty() {
            let each = |id: &ComponentId| {
                let name = &self.vehicle.component(*id).id;
                let modes = self.mode_names(*id).into_iter();
                modes
                    .map(|mode| format!("{name} {mode}"))
                    .collect::<Vec<_>>()
            };
            names = parts.iter().flat_map(each).collect();
        }
        let id = &self.vehicle.component(component).id;
        let message = format!(
            "What of {id} and what it runs in: {}?",
            listed(&names, "or")
        );
        Problem::at(words, from, message)
            .offering(names.iter().map(|name| words.with(from..to, name)))
    }

    /// Names of a component's failure modes.
    pub(super) fn mode_names(&self, component: ComponentId) -> Vec<&str> {
        self.modes[component.index()]
            .iter()
            .map(|(_, name)| name.as_str())
            .collect()
    }

    /// The modes of a component that these words name, in any order.
    fn modes(&self, component: ComponentId, typed: &[&str]) -> Vec<(ModeId, Rank)> {
        let data = self.vehicle.component(component);
        if only_its_kind(data, typed) {
            return Vec::new();
        }
        // `bad earth`: what is bad about a ground is its contact.
        let mut typed = typed.to_vec();
        if is_ground(data) {
            let bad = typed.iter_mut().filter(|word| **word == "bad");
            bad.for_each(|word| *word = "poor");
        }
        let modes = self.modes[component.index()].iter();
        modes
            .filter_map(|(mode, name)| Some((*mode, fit_mode(&typed, name)?)))
            .collect()
    }

    /// Reads a hand-over: the form when nothing follows, else parts in any order, each of them optional.
    pub(super) fn hand_over(&self, words: &Words<'_>, at: usize) -> Result<Command, Problem> {
        let (from, to) = trimmed(words.list(), at);
        if from >= to {
            return Ok(Command::Paper(Paper::HandOverForm));
        }
        if behind_no_fault(words, from).is_some_and(|next| next >= to) {
            return Ok(Command::Only(Only::NoFaultFound));
        }
        let mut write_up = WriteUp::default();
        for part in Self::parts_told(words, at)? {
            self.read_part(words, &part, &mut write_up)?;
        }
        Ok(Command::Act(Action::HandOver(write_up)))
    }

    /// A hand-over's words cut into its parts; the note has all that follows it.
    pub(super) fn parts_told(words: &Words<'_>, at: usize) -> Result<Vec<Part>, Problem> {
        let (from, _) = trimmed(words.list(), at);
        let part_at = |n: usize| PARTS.iter().position(|part| part.contains(&words.text(n)));
        // `hand over no fault found` is the cause without its word.
        if part_at(from).is_none() && behind_no_fault(words, from).is_none() {
            let message = "A hand-over is told as `complaint ...`, `cause ...`, `correction ...`, `note ...`.";
            return Err(Problem::at(words, from, message).offering(["hand over".to_owned()]));
        }
        let mut parts = Vec::new();
        let mut start = from;
        while start < words.len() {
            let which = part_at(start).unwrap_or(1);
            let begin = start + usize::from(part_at(start).is_some());
            let next = (begin..words.len()).find(|&n| which != 3 && part_at(n).is_some());
            let end = next.unwrap_or(words.len());
            parts.push(Part {
                which,
                start,
                begin,
                end,
            });
            start = end;
        }
        Ok(parts)
    }

    /// Reads one part of a hand-over into the write-up.
    pub(super) fn read_part(
        &self,
        words: &Words<'_>,
        part: &Part,
        write_up: &mut WriteUp,
    ) -> Result<(), Problem> {
        let (begin, end) = (part.begin, part.end);
        // A part is read alone, with nothing of the next, but its columns are the line's.
        let section = words.until(end);
        let open = end == begin + 1 && OPEN.contains(&words.text(begin));
        if end == begin && part.which != 3 {
            let message = format!("Nothing is told of the {}.", words.text(part.start));
            return Err(Problem::at(words, begin, message).offering(["hand over".to_owned()]));
        }
        match part.which {
            3 => write_up.text = text(words, begin)?,
            _ if open => {}
            0 => write_up.complaint = Some(self.symptom(&section, begin)?),
            1 => write_up.cause = Some(self.verdict(&section, begin)?),
            _ => write_up.correction = Some(self.correction(&section, begin)?),
        }
        Ok(())
    }
}
