//! What is done to the only thing there is, or to all there are: the bench knows which.

use groundside_engine::vehicle::PlaceId;
use groundside_engine::world::Measurement;

use super::*;
use crate::language::Does;

impl Session<'_> {
    /// What is done to the only thing there is; asks when there are several or none.
    pub(super) fn only(
        &mut self,
        only: Only,
        line: &str,
        talk: &mut dyn Talk,
        io: &mut Io<'_>,
    ) -> Result<Flow, Failure> {
        let problem = match only {
            Only::SwapBack => {
                let bench = self.attempt.bench();
                let swapped = |id: &ComponentId| bench.substituted[id.index()];
                let swapped: Vec<ComponentId> = self.vehicle.ids().filter(swapped).collect();
                if let [part] = swapped.as_slice() {
                    return self.act(&Action::PutBack(*part), talk, io);
                }
                let names = swapped
                    .iter()
                    .map(|id| self.vehicle.component(*id).id.as_str());
                Problem::which_swapped(line, &names.collect::<Vec<&str>>())
            }
            Only::Together(sort) => return self.together(sort, line, talk, io),
            Only::Jumpers { at_mid_glass } => {
                let action = Action::RemoveJumper { at_mid_glass };
                loop {
                    let flow = self.act(&action, talk, io)?;
                    if flow != Flow::On || self.attempt.bench().jumpers.is_empty() {
                        return Ok(flow);
                    }
                }
            }
            Only::AmpsOfStrap { strap, red, black } => {
                let off = self.attempt.bench().unplugged[strap.index()];
                let what = Measurement::Amps;
                let through = Action::Measure { what, red, black };
                return self.act(&if off { through } else { Action::Clamp(strap) }, talk, io);
            }
            Only::NoFaultFound => {
                let write_up = write_up::filled(WriteUp::default(), &self.attempt);
                let noted = write_up.cause.is_some_and(|cause| {
                    let mut faults = self.vehicle.faults().into_iter();
                    faults.any(|(component, mode, data)| {
                        (component, mode) == (cause.component, cause.mode) && data.is_condition()
                    })
                });
                if noted {
                    return self.hand_over(write_up, talk, io);
                }
                match self.language.read("hand over cause no fault found", None) {
                    Err(problem) => problem,
                    Ok(_) => return Ok(Flow::On),
                }
            }
        };
        let reply = Reply {
            command: line.to_owned(),
            page: help::misread(&problem),
            refused: Some(problem.message),
            ..Reply::default()
        };
        self.send(reply, io).map(|()| Flow::Stop)
    }

    /// Puts together what is apart, by its sorts in the order of the work: a cover is not in the way of a plug then. What is
    /// at hand comes first. A step that is not gone on with ends it.
    fn together(
        &mut self,
        sort: Option<Does>,
        line: &str,
        talk: &mut dyn Talk,
        io: &mut Io<'_>,
    ) -> Result<Flow, Failure> {
        let mut done = false;
        for each in [Does::Plug, Does::Tighten, Does::Fit] {
            if sort.is_some_and(|sort| sort != each) {
                continue;
            }
            for action in self.apart(each) {
                done = true;
                let flow = self.act(&action, talk, io)?;
                if flow != Flow::On {
                    return Ok(flow);
                }
            }
        }
        if done {
            return Ok(Flow::On);
        }
        let reply = Reply {
            command: line.to_owned(),
            page: Page::of(Tone::Plain, "Nothing of that is off or apart."),
            ..Reply::default()
        };
        self.send(reply, io).map(|()| Flow::On)
    }

    /// What puts together each thing of a sort that is apart, what is at hand first.
    fn apart(&self, sort: Does) -> Vec<Action> {
        let bench = self.attempt.bench();
        let vehicle = self.vehicle;
        let parts = vehicle.ids().filter_map(|id| {
            let action = match sort {
                Does::Plug if bench.unplugged[id.index()] => Action::Plug(id),
                Does::Tighten if bench.undone[id.index()] => Action::Tighten(id),
                _ => return None,
            };
            Some((vehicle.component(id).place, action))
        });
        let off = bench.covers_off.iter().zip(&vehicle.layout.covers);
        let off = off.filter(|(off, _)| **off && sort == Does::Fit);
        let covers = off.filter_map(|(_, cover)| {
            let fit = Action::from_words(&format!("fit {}", cover.id), vehicle);
            Some((cover.place, fit.ok()?))
        });
        let mut apart: Vec<(PlaceId, Action)> = parts.chain(covers).collect();
        apart.sort_by_key(|(place, _)| *place != bench.place);
        apart.into_iter().map(|(_, action)| action).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{Typist, seed_7, shown};
    use super::*;
    use crate::Host;

    #[test]
    fn what_is_apart_is_put_together_at_a_word() {
        let typist = Typist {
            lines: [
                "unplug motor plug; loosen crank nut; open bonnet",
                "close everything",
                "where",
                "put everything back; key on",
                "where",
                "put everything back",
                "pause",
            ]
            .into(),
            ..Typist::default()
        };
        let told = shown(typist, &seed_7(), Host::default());
        let mut from = 0;
        for piece in [
            "Bonnet is on again.",
            "Lower dash panel is on again.",
            "Off: none.",
            "Apart: motor-plug unplugged, crank-nut undone.",
            "Motor-plug is together.",
            "Crank-nut is done up.",
            "Lower dash panel is on again.",
            "Key to on.",
            "Apart: nothing.",
            "Nothing of that is off or apart.",
        ] {
            let at = told[from..].find(piece);
            assert!(at.is_some(), "{piece}: {told}");
            from += at.unwrap_or(0);
        }
        // A way that is not gone ends it, and nothing is closed over the plug.
        let typist = Typist {
            lines: [
                "unplug motor plug; open bonnet",
                "put everything back",
                "where",
            ]
            .into(),
            answers: [Answer::Yes, Answer::Yes, Answer::No].into(),
            ..Typist::default()
        };
        let left = shown(typist, &seed_7(), Host::default());
        assert!(left.contains("Off: bonnet, lower dash panel."), "{left}");
    }
}
