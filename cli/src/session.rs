//! One attempt being played: lines in, replies out, a record beside it.

mod kept;
mod left;
mod only;
#[cfg(test)]
mod tests;

use std::fmt::Display;
use std::io::{BufReader, Cursor, Write as _};

use groundside_engine::attempt::{Attempt, readings_json};
use groundside_engine::marking::{Debrief, debrief_telling};
use groundside_engine::quantity::Minutes;
use groundside_engine::vehicle::{ComponentId, Vehicle};
use groundside_engine::world::{Action, Advice, Refusal, WriteUp};
use serde::Serialize;
use serde_json::Value;

use crate::args::{Format, Practice};
use crate::files::{self, Recorder};
use crate::following::{Following, wanted_of};
use crate::language::{Command, Language, Only, Paper, Problem};
use crate::opening::{self, Opened};
use crate::problem::Failure;
use crate::render::{cautions, data, debrief, diagram, event, help, hint, question, screen, state};
use crate::repl::Terminal;
use crate::resume;
use crate::script::Script;
use crate::style::{Page, Tone, listed, neutral};
use crate::talk::{Answer, Question, Talk, Typed};
use crate::waiting::Waiting;
use crate::{Exit, Io, write_up};
use kept::Kept;

/// A reply to one command.
#[derive(Default)]
struct Reply {
    /// The command: strict words for what is done, as typed for the rest.
    command: String,
    minutes: Minutes,
    page: Page,
    readings: Vec<Value>,
    refused: Option<String>,
}

/// A reply as an object on one line of JSON.
#[derive(Serialize)]
struct Object<'r> {
    n: usize,
    command: String,
    minutes: f64,
    place: &'r str,
    text: String,
    readings: &'r [Value],
    refused: Option<&'r str>,
}

/// How a line leaves the attempt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Flow {
    /// On with the next command.
    On,
    /// The rest of the line is not carried out.
    Stop,
    /// Leave, the record kept.
    Pause,
}

/// An attempt being played.
struct Session<'a> {
    attempt: Attempt,
    vehicle: &'a Vehicle,
    language: &'a Language<'a>,
    recorder: Option<Recorder>,
    format: Format,
    last: Option<String>,
    replies: usize,
    /// A line typed at a question, to be taken next.
    instead: Option<String>,
    /// What was said already to bear in mind.
    advised: Vec<Advice>,
    /// Whether it was said already what is still apart at the hand-over.
    told_apart: bool,
    /// What was written up and not handed over.
    kept: Kept,
    /// What goes on with this attempt from its record, up to the record.
    resume: String,
    /// The marking beside it: at a terminal from the beginning, else from when it is first asked for something.
    following: Option<Following>,
}

/// `practice`.
pub(crate) fn practice(options: &Practice, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let at_terminal = options.script.is_none() && io.host.input_is_terminal;
    let script_text = match &options.script {
        Some(path) if path.as_os_str() != "-" => Some(files::script(path)?),
        _ => None,
    };
    let text = options.format == Format::Text;
    let opened = opening::open(options, at_terminal, io)?;
    let torn = opened.torn;
    let assignment = opened.attempt.assignment().clone();
    let language = Language::new(&assignment.sound, &assignment.scenario);
    let mut session = Session::new(opened, options, &assignment.sound, &language, io);
    session.first_screen(torn, at_terminal, io)?;
    if at_terminal {
        session.following = Some(Following::begin(&session.attempt));
        let mut talk = Terminal::new(&language, options.plain, io)?;
        return session.play(&mut talk, io);
    }
    let lines: Box<dyn std::io::BufRead> = match script_text {
        Some(text) => Box::new(BufReader::new(Cursor::new(text))),
        None => std::mem::replace(&mut io.input, Box::new(std::io::empty())),
    };
    session.play(&mut Script::new(lines, text), io)
}

/// The marking of an attempt that has ended. It takes some seconds, so a person who waits at a screen is told how far it is.
pub(crate) fn marked(attempt: &Attempt, io: &mut Io<'_>) -> Result<Debrief, Failure> {
    let mut waiting = Waiting::new("marking", "steps", io);
    let told = debrief_telling(attempt, &mut |progress| waiting.tell(progress));
    waiting.end();
    told.map_err(not_marked)
}

fn not_marked(error: impl Display) -> Failure {
    Failure::Misuse(format!("the attempt could not be marked: {error}"))
}

impl<'a> Session<'a> {
    /// An attempt that was opened.
    fn new(
        opened: Opened,
        options: &Practice,
        vehicle: &'a Vehicle,
        language: &'a Language<'a>,
        io: &Io<'_>,
    ) -> Self {
        Self {
            attempt: opened.attempt,
            vehicle,
            language,
            recorder: opened.recorder,
            format: options.format,
            last: None,
            replies: 0,
            instead: None,
            advised: Vec::new(),
            told_apart: false,
            kept: Kept::default(),
            resume: resume::command(&io.host.program, options),
            following: None,
        }
    }

    fn first_screen(
        &mut self,
        torn: bool,
        at_terminal: bool,
        io: &mut Io<'_>,
    ) -> Result<(), Failure> {
        let assignment = self.attempt.assignment();
        let kept = self.recorder.as_ref().filter(|_| at_terminal);
        let kept = kept.map(|recorder| recorder.path().display().to_string());
        let mut page = screen::first(assignment, self.attempt.complaint(), kept.as_deref());
        if torn {
            page.add(
                Tone::Caution,
                "The last line of the record was cut off in the writing and has been dropped.",
            );
        }
        if !self.attempt.events().is_empty() {
            page.add(Tone::Plain, "");
            page.extend(state::page(&self.attempt));
        }
        self.send(
            Reply {
                page,
                ..Reply::default()
            },
            io,
        )
    }

    fn place(&self) -> &str {
        let place = self.attempt.bench().place;
        self.vehicle.layout.places[place.index()].id.as_str()
    }

    /// Writes a reply: a page, or an object on one line.
    fn send(&mut self, reply: Reply, io: &mut Io<'_>) -> Result<(), Failure> {
        let n = self.replies;
        self.replies += 1;
        match self.format {
            Format::Text => io.print(&reply.page),
            Format::Json => io.print_json(&Object {
                n,
                command: neutral(&reply.command),
                minutes: reply.minutes.as_minutes(),
                place: self.place(),
                text: reply.page.text(),
                readings: &reply.readings,
                refused: reply.refused.as_deref(),
            }),
        }
    }

    /// Plays to the end or to a pause.
    fn play(mut self, talk: &mut dyn Talk, io: &mut Io<'_>) -> Result<Exit, Failure> {
        let mut interrupts = 0;
        let begun = self.attempt.events().len();
        loop {
            let typed = match self.instead.take() {
                Some(line) => Typed::Line(line),
                None => talk.line(io)?,
            };
            match typed {
                Typed::Line(line) => {
                    interrupts = 0;
                    if self.line(&line, talk, io)? == Flow::Pause {
                        return self.pause(io);
                    }
                }
                Typed::Interrupted => {
                    interrupts += 1;
                    if interrupts > 1 {
                        let told = "To leave and keep the record: `pause`, or Ctrl-D. To end: `hand over` or `give up`.";
                        io.print(&Page::of(Tone::Quiet, told))?;
                    }
                }
                Typed::End if !talk.is_script() => return self.pause(io),
                Typed::End if self.attempt.events().len() == begun && self.kept.is_empty() => {
                    return self.idle(io);
                }
                Typed::End => {
                    if self.format == Format::Text {
                        let told = "(The script ends here: handed over with what there is.)";
                        io.print(&Page::of(Tone::Quiet, told))?;
                    }
                    let write_up = self.kept.handed_over(WriteUp::default());
                    self.act(&Action::HandOver(write_up), talk, io)?;
                }
            }
            if self.attempt.is_over() {
                self.lines_left(talk, io)?;
                return self.finish(io);
            }
        }
    }

    /// The end of a script in which nothing was done.
    fn idle(&mut self, io: &mut Io<'_>) -> Result<Exit, Failure> {
        if self.format == Format::Json {
            io.print_json(&debrief::Ending::open(self.attempt.clock().as_minutes()))?;
        } else {
            io.print(&Page::of(
                Tone::Quiet,
                "(The script ends here. Nothing was done, so nothing is handed over.)",
            ))?;
        }
        Ok(Exit::Done)
    }

    fn pause(&mut self, io: &mut Io<'_>) -> Result<Exit, Failure> {
        let told = match &self.recorder {
            Some(recorder) => {
                let path = resume::quoted(&recorder.path().display().to_string());
                neutral(&format!("Paused. To go on: {} {path}", self.resume))
            }
            None => "Left. Nothing was kept: there was no --record.".to_owned(),
        };
        match self.format {
            // A path is not wrapped, so that it can be copied.
            Format::Text => writeln!(io.output, "{told}")?,
            Format::Json => {
                io.print_json(&debrief::Ending::open(self.attempt.clock().as_minutes()))?;
            }
        }
        io.output.flush()?;
        Ok(Exit::Done)
    }

    /// Marks, debriefs and writes the result.
    fn finish(&mut self, io: &mut Io<'_>) -> Result<Exit, Failure> {
        let told = match self.following.take() {
            Some(following) => following.debrief(&self.attempt, io).map_err(not_marked)?,
            None => marked(&self.attempt, io)?,
        };
        match self.format {
            Format::Text => {
                let mut page = Page::of(Tone::Plain, "");
                page.extend(debrief::page(&told, &self.attempt));
                if let Some(recorder) = &self.recorder {
                    page.add(Tone::Quiet, "");
                    page.row(format!("Record: {}", recorder.path().display()));
                }
                io.print(&page)?;
            }
            Format::Json => io.print_json(&debrief::Ending::of(&told))?,
        }
        Ok(Exit::Done)
    }

    fn line(&mut self, line: &str, talk: &mut dyn Talk, io: &mut Io<'_>) -> Result<Flow, Failure> {
        let commands = match self.language.read(line, self.last.as_deref()) {
            Ok(commands) => commands,
            Err(problem) => {
                if let Some(half) = self.language.half_read(line) {
                    return self.keep(&half, line, talk.is_script(), io);
                }
                let reply = Reply {
                    command: line.to_owned(),
                    page: help::misread(&problem),
                    refused: Some(problem.message),
                    ..Reply::default()
                };
                return self.send(reply, io).map(|()| Flow::Stop);
            }
        };
        if !is_again(line) {
            self.last = Some(line.to_owned());
        }
        let count = commands.len();
        for (index, command) in commands.into_iter().enumerate() {
            let flow = match command {
                Command::Act(Action::HandOver(write_up)) => self.hand_over(write_up, talk, io)?,
                Command::Act(action) => self.act(&action, talk, io)?,
                Command::Paper(paper) => self.paper(paper, line, talk, io)?,
                Command::Only(only) => self.only(only, line, talk, io)?,
            };
            if flow != Flow::On || self.attempt.is_over() {
                self.commands_left(count - index - 1, flow, line, io)?;
                return Ok(flow);
            }
        }
        Ok(Flow::On)
    }

    /// Permits, cautions, asks, carries out, records, replies.
    fn act(
        &mut self,
        action: &Action,
        talk: &mut dyn Talk,
        io: &mut Io<'_>,
    ) -> Result<Flow, Failure> {
        let action = match action {
            Action::HandOver(write_up) => {
                &Action::HandOver(write_up::filled(write_up.clone(), &self.attempt))
            }
            other => other,
        };
        let permitted = match self.attempt.permit(action) {
            Ok(permitted) => permitted,
            Err(refusal) => {
                let flow = self.refuse(action, &refusal.to_string(), io)?;
                return Ok(if stands_so(refusal) { Flow::On } else { flow });
            }
        };
        if let Some((text, question)) =
            question::before(&permitted, self.attempt.bench(), self.vehicle)
            && !self.asked(action, &text, question, talk, io)?
        {
            let told = self.taken_as_no("Left as it is; no time spent.");
            return self.step_back(action, &told, io);
        }
        let before = self.attempt.clock();
        let bench = self.attempt.bench().clone();
        if let Err(error) = self.attempt.carry_out(&permitted) {
            return self.refuse(action, &error.to_string(), io);
        }
        let Some(event) = self.attempt.events().last() else {
            return Ok(Flow::On);
        };
        if let Some(recorder) = &mut self.recorder {
            recorder.write(event, self.vehicle)?;
        }
        let mut page = if action.ends() {
            event::ended(event, self.vehicle, self.told_apart)
        } else {
            event::reply(event, &bench, self.vehicle)
        };
        if let Some(following) = &self.following {
            following.take(&self.attempt);
        }
        if let Some(wanted) = wanted_of(event) {
            let begun = || Following::begin(&self.attempt);
            let following = self.following.get_or_insert_with(begun);
            page.extend(hint::page(&following.hint(wanted, io).map_err(not_marked)?));
        }
        if let Some(advice) = permitted.advice()
            && !self.advised.contains(&advice)
        {
            self.advised.push(advice);
            page.add(Tone::Caution, cautions::counsel(advice).text);
        }
        let mut reply = Reply {
            command: action.words(self.vehicle),
            minutes: event.cost.total(),
            page,
            readings: readings_json(&event.observations),
            refused: None,
        };
        let allowance = self.attempt.assignment().scenario.allowance;
        if before <= allowance && event.clock > allowance && !action.ends() {
            let told = format!(
                "The {allowance} min allowed are used up. Going on is noted, and no mark hangs on it."
            );
            reply.page.add(Tone::Caution, told);
        }
        self.send(reply, io)?;
        Ok(Flow::On)
    }

    /// What is said to a no; a command typed in its place is carried out next, and is named here.
    fn taken_as_no(&self, told: &str) -> String {
        match &self.instead {
            Some(line) => format!("{told} Instead: {}", neutral(line.trim())),
            None => told.to_owned(),
        }
    }

    /// Asks before an action; `true` to go on with it.
    fn asked(
        &mut self,
        action: &Action,
        text: &str,
        question: Question,
        talk: &mut dyn Talk,
        io: &mut Io<'_>,
    ) -> Result<bool, Failure> {
        self.write_question(action, text, talk.is_script(), io)?;
        let last = Page::of(Tone::Caution, text)
            .fitted(io.host.columns)
            .0
            .pop()
            .map_or_else(|| text.to_owned(), |line| line.text);
        match talk.answer(&last, question, io)? {
            Answer::Yes => Ok(true),
            Answer::No => Ok(false),
            Answer::Instead(line) => {
                self.instead = Some(line);
                Ok(false)
            }
        }
    }

    /// The write-up asked for part by part, shown once more, and handed over if that is wanted.
    fn hand_over_form(&mut self, talk: &mut dyn Talk, io: &mut Io<'_>) -> Result<Flow, Failure> {
        let write_up =
            write_up::form(&self.attempt, self.language, &mut self.kept.draft, talk, io)?;
        let Some(write_up) = write_up else {
            let none = Action::HandOver(WriteUp::default());
            return self.step_back(&none, NOT_HANDED_OVER, io);
        };
        self.hand_over(write_up, talk, io)
    }

    /// Shows a person what is about to be handed over, and asks; what is not handed over is kept for the form. Nobody
    /// asks a script.
    fn hand_over(
        &mut self,
        write_up: WriteUp,
        talk: &mut dyn Talk,
        io: &mut Io<'_>,
    ) -> Result<Flow, Failure> {
        let told = self.kept.handed_over(write_up.clone());
        let filled = write_up::filled(told, &self.attempt);
        let text = write_up::summary(&filled, &self.attempt);
        let action = Action::HandOver(filled);
        if !talk.is_script() {
            if !self.asked(&action, &text, Question::End, talk, io)? {
                self.kept.draft = self.kept.beside(write_up);
                let told = self.taken_as_no(NOT_HANDED_OVER);
                return self.step_back(&Action::HandOver(WriteUp::default()), &told, io);
            }
            self.told_apart = true;
        }
        self.act(&action, talk, io)
    }

    /// Writes a question; its last line stays open for the answer, and is left to a terminal's prompt.
    fn write_question(
        &mut self,
        action: &Action,
        text: &str,
        script: bool,
        io: &mut Io<'_>,
    ) -> Result<(), Failure> {
        let page = Page::of(Tone::Caution, text);
        if self.format == Format::Json {
            let command = action.words(self.vehicle);
            return self.send(
                Reply {
                    command,
                    page,
                    ..Reply::default()
                },
                io,
            );
        }
        let mut page = page.fitted(io.host.columns);
        let last = page.0.pop();
        io.print(&page)?;
        if let Some(last) = last.filter(|_| script) {
            let line = io.paint().line(&last);
            write!(io.output, "{line}")?;
            io.output.flush()?;
        }
        Ok(())
    }

    fn refuse(&mut self, action: &Action, why: &str, io: &mut Io<'_>) -> Result<Flow, Failure> {
        let mut page = Page::of(Tone::Refused, format!("{}.", crate::style::sentence(why)));
        if self.format == Format::Json {
            page = Page::of(Tone::Refused, why);
        }
        let reply = Reply {
            command: action.words(self.vehicle),
            page,
            refused: Some(why.to_owned()),
            ..Reply::default()
        };
        self.send(reply, io).map(|()| Flow::Stop)
    }

    fn step_back(&mut self, action: &Action, told: &str, io: &mut Io<'_>) -> Result<Flow, Failure> {
        let reply = Reply {
            command: action.words(self.vehicle),
            page: Page::of(Tone::Plain, told),
            refused: Some("stepped back".to_owned()),
            ..Reply::default()
        };
        self.send(reply, io).map(|()| Flow::Stop)
    }

    fn paper(
        &mut self,
        paper: Paper,
        line: &str,
        talk: &mut dyn Talk,
        io: &mut Io<'_>,
    ) -> Result<Flow, Failure> {
        let assignment = self.attempt.assignment();
        let page = match paper {
            Paper::Pause => return Ok(Flow::Pause),
            Paper::HandOverForm => return self.hand_over_form(talk, io),
            Paper::Diagram => diagram::page(&assignment.sound),
            Paper::Data(topic) => data::page(assignment, topic.as_deref()),
            Paper::Readings => state::readings(&self.attempt),
            Paper::Where => state::page(&self.attempt),
            Paper::Hazards => cautions::list(),
            Paper::Points => help::points(self.vehicle),
            Paper::Help(None) => help::all(),
            Paper::Help(Some(verb)) => help::verb(verb),
        };
        let reply = Reply {
            command: line.to_owned(),
            page,
            ..Reply::default()
        };
        self.send(reply, io).map(|()| Flow::On)
    }
}

/// What is said when a hand-over is not gone on with.
const NOT_HANDED_OVER: &str = "Nothing handed over.";

/// Whether a refusal says that things stand already as the command would have them, so that what
/// follows it on the line may go on.
const fn stands_so(refusal: Refusal) -> bool {
    matches!(
        refusal,
        Refusal::AlreadyThere
            | Refusal::AlreadyOff
            | Refusal::AlreadyOn
            | Refusal::AlreadyUnplugged
            | Refusal::AlreadyPlugged
            | Refusal::AlreadyUndone
            | Refusal::AlreadyTight
    )
}

fn is_again(line: &str) -> bool {
    matches!(
        line.trim().to_ascii_lowercase().as_str(),
        "again" | "!!" | "repeat"
    )
}
