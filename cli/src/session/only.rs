//! What is done to the only thing there is, or to all there are: the bench knows which.

use groundside_engine::world::Measurement;

use super::*;

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
}
