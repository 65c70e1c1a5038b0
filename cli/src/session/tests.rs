//! Attempts played by a typist, as at a terminal.

use std::collections::VecDeque;

use super::*;
use crate::Host;

/// Somebody at a terminal whose lines, answers and parts of the write-up are known beforehand.
#[derive(Default)]
pub(super) struct Typist {
    pub(super) lines: VecDeque<&'static str>,
    pub(super) answers: VecDeque<Answer>,
    pub(super) parts: VecDeque<Option<&'static str>>,
}

impl Talk for Typist {
    fn line(&mut self, _: &mut Io<'_>) -> Result<Typed, Failure> {
        let line = self.lines.pop_front();
        Ok(line.map_or(Typed::End, |line| Typed::Line(line.to_owned())))
    }

    fn answer(&mut self, last: &str, _: Question, io: &mut Io<'_>) -> Result<Answer, Failure> {
        writeln!(io.output, "{last}")?;
        Ok(self.answers.pop_front().unwrap_or(Answer::Yes))
    }

    fn part(&mut self, prompt: &str, io: &mut Io<'_>) -> Result<Option<String>, Failure> {
        writeln!(io.output, "{prompt}")?;
        Ok(self.parts.pop_front().flatten().map(str::to_owned))
    }

    fn is_script(&self) -> bool {
        false
    }
}

/// What is shown to a typist on a screen.
pub(super) fn shown(typist: Typist, options: &Practice, host: Host) -> String {
    both(typist, options, host).0
}

/// What is shown to a typist on a screen, and what comes on the errors' stream.
fn both(mut typist: Typist, options: &Practice, host: Host) -> (String, String) {
    played(&mut typist, options, host)
}

/// What a script has for an answer.
pub(super) fn scripted(lines: &'static str, options: &Practice) -> String {
    let lines = Box::new(Cursor::new(lines));
    let mut script = Script::new(lines, options.format == Format::Text);
    played(&mut script, options, Host::default()).0
}

fn played(talk: &mut dyn Talk, options: &Practice, host: Host) -> (String, String) {
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let mut io = Io {
        input: Box::new(std::io::empty()),
        output: Box::new(&mut output),
        errors: Box::new(&mut errors),
        host,
    };
    let opened = opening::open(options, true, &mut io).unwrap();
    let assignment = opened.attempt.assignment().clone();
    let language = Language::new(&assignment.sound, &assignment.scenario);
    let mut session = Session::new(opened, options, &assignment.sound, &language, &io);
    session.first_screen(false, true, &mut io).unwrap();
    session.play(talk, &mut io).unwrap();
    drop(io);
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(output), text(errors))
}

pub(super) fn seed_7() -> Practice {
    Practice {
        seed: Some(7),
        ..Practice::default()
    }
}

#[test]
fn the_hand_over_form_can_be_left_at_every_part() {
    let forms: [&[Option<&'static str>]; 5] = [
        &[None],
        &[Some("cancel")],
        &[Some("slow"), Some("Back ")],
        &[Some("slow"), Some(""), None],
        &[Some("slow"), Some(""), Some(""), Some("cancel")],
    ];
    for parts in forms {
        let typist = Typist {
            lines: ["hand over", "where"].into(),
            parts: parts.iter().copied().collect(),
            ..Typist::default()
        };
        let shown = shown(typist, &seed_7(), Host::default());
        assert!(shown.contains("Nothing handed over."), "{shown}");
        assert!(shown.contains("You are at: cab"), "{shown}");
        assert!(!shown.contains("What was wrong"), "{shown}");
    }
}

#[test]
fn amps_between_the_ends_of_a_strap_go_through_the_meter_where_it_is_off() {
    let typist = Typist {
        lines: [
            "amps front-ground stud battery neg",
            "unplug battery strap; amps front-ground stud battery neg",
        ]
        .into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    let around = shown.find("Clamp on battery-strap: ").unwrap();
    let through = shown.find("through the meter: ").unwrap();
    assert!(around < through, "{shown}");
}

#[test]
fn the_form_says_what_it_understood_and_asks_before_it_ends() {
    let played = |last: Answer| {
        let typist = Typist {
            lines: [
                "unplug motor plug; loosen crank nut; conclude left pivot stiff",
                "hand over",
            ]
            .into(),
            // The way there is asked about first.
            answers: [Answer::Yes, last].into(),
            parts: [
                Some("banana"),
                Some("stops after a while"),
                Some(""),
                Some("right pivot"),
                Some("done"),
            ]
            .into(),
        };
        shown(typist, &seed_7(), Host::default())
    };
    let handed_over = played(Answer::Yes);
    for told in [
        "`banana` is no symptom",
        "  complaint: cuts-out",
        "  cause: left-pivot stiff, as concluded",
        "  correction: right-pivot",
        "To be handed over: complaint cuts-out; cause left-pivot stiff; correction",
        "Still apart or off: motor-plug unplugged, crank-nut undone; lower dash panel",
        "hand over now? (y)",
        "Handed over.",
        "What was wrong",
    ] {
        assert!(handed_over.contains(told), "{told}: {handed_over}");
    }
    assert_eq!(
        handed_over.matches("Still apart").count(),
        1,
        "{handed_over}"
    );
    for answer in [Answer::No, Answer::Instead("where".to_owned())] {
        let kept = played(answer);
        assert!(kept.contains("Nothing handed over."), "{kept}");
        assert!(!kept.contains("What was wrong"), "{kept}");
    }
}

#[test]
fn a_pause_names_the_command_that_goes_on() {
    let dir = std::env::temp_dir().join(format!("groundside resume {}", std::process::id()));
    let host = Host {
        state_dir: Some(dir.clone()),
        program: "target/release/groundside".to_owned(),
        ..Host::default()
    };
    let typist = Typist {
        lines: ["key on", "pause"].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), host);
    std::fs::remove_dir_all(&dir).unwrap();
    let first = shown.find("Record, kept as you go: ").unwrap();
    assert!(first < shown.find("Key to on").unwrap(), "{shown}");
    let told = format!(
        "Paused. To go on: target/release/groundside practice --resume '{}",
        dir.display()
    );
    assert!(shown.contains(&told), "{shown}");
    assert!(shown.trim_end().ends_with(".jsonl'"), "{shown}");
}

#[test]
fn what_stands_already_does_not_end_the_line() {
    let typist = Typist {
        lines: [
            "go cab; close bonnet; plug motor plug; key on",
            "w xyz; key off",
        ]
        .into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    assert!(shown.contains("You are there already."), "{shown}");
    assert!(shown.contains("It is on already."), "{shown}");
    assert!(shown.contains("Key to on."), "{shown}");
    assert!(!shown.contains("Not done:"), "{shown}");
}

#[test]
fn what_shows_no_sign_is_seen_to_show_none() {
    let typist = Typist {
        lines: ["look motor", "look left arm"].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    assert!(
        shown.contains("Nothing unusual is seen on motor itself."),
        "{shown}"
    );
    let shown = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "left-arm is on its mark",
        "the rubber of left-arm is whole.",
    ] {
        assert!(shown.contains(words), "{shown}");
    }
    assert!(!shown.contains("Nothing to be had"), "{shown}");
}

/// What is understood of a line that hands over is kept for the form and for the next line, and is asked about before it goes.
#[test]
fn a_hand_over_that_is_read_in_part_is_kept() {
    let first = "hand over complaint slow cause banana correction left pivot";
    for second in ["hand over cause left pivot stiff", "hand over"] {
        let typist = Typist {
            lines: [first, second].into(),
            parts: [Some(""), Some("left pivot stiff"), Some(""), Some("")].into(),
            ..Typist::default()
        };
        let shown = shown(typist, &seed_7(), Host::default());
        let shown = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        for told in [
            "Not handed over yet; kept: complaint slow; correction left-pivot.",
            "To be handed over: complaint slow; cause left-pivot stiff; correction left-pivot.",
            "Handed over.",
        ] {
            assert!(shown.contains(told), "{told}: {shown}");
        }
        assert!(!shown.contains("end of the script"), "{shown}");
    }
}

/// It is said of the key on the bench and never of what is wrong: a fault that leaves a consumer dead besides changes
/// nothing of it, and with the key on nothing of the key is said.
#[test]
fn a_consumer_that_waits_for_the_key_is_told_to() {
    let tried = |fault: &str, lines: [&'static str; 2]| {
        let options = Practice {
            fault: Some(fault.to_owned()),
            ..seed_7()
        };
        let typist = Typist {
            lines: lines.into_iter().chain(["pause"]).collect(),
            ..Typist::default()
        };
        let shown = shown(typist, &options, Host::default());
        shown.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let waits = "Blower: dead, as all on that feed is with the key off.";
    for fault in [
        "left-pivot.stiff:4",
        "fusible-link.open",
        "battery.pos-open",
    ] {
        let off = tried(fault, ["try blower", "where"]);
        assert!(off.contains(waits), "{fault}: {off}");
        let on = tried(fault, ["key on", "try blower"]);
        assert!(!on.contains("on that feed"), "{fault}: {on}");
    }
    let horn = tried("fusible-link.open", ["try horn", "where"]);
    assert!(horn.contains("Horn: dead."), "{horn}");
}

#[test]
fn the_end_of_the_allowance_is_told_once() {
    let typist = Typist {
        lines: ["wait 30 min; wait 30 min", "wait 30 min; wait 30 min; look"].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    assert_eq!(
        shown.matches("min allowed are used up.").count(),
        1,
        "{shown}"
    );
}

#[test]
fn prose_keeps_to_a_narrow_screen() {
    let host = Host {
        columns: Some(50),
        ..Host::default()
    };
    let typist = Typist {
        lines: [
            "volts motor 53",
            "hand over complaint slow cause left pivot stiff",
        ]
        .into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), host);
    let long: Vec<&str> = shown
        .lines()
        .filter(|line| line.chars().count() > 50)
        .collect();
    assert!(long.is_empty(), "{long:#?}");
}

#[test]
fn a_way_there_and_back_is_asked_as_that() {
    let typist = Typist {
        lines: ["go under dash", "drop motor 31 front-ground stud", "pause"].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    let asked = "under the dash to engine compartment and back 1.0 min, ";
    assert!(shown.replace('\n', " ").contains(asked), "{shown}");
}

#[test]
fn a_command_in_place_of_an_answer_is_a_no_and_is_carried_out() {
    let typist = Typist {
        lines: ["volts motor 53; listen", "pause"].into(),
        answers: [Answer::Instead("key on".to_owned())].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    let text = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = "Left as it is; no time spent. Instead: key on Not done: the 1 after it on the line. Key to on.";
    assert!(text.contains(told), "{shown}");
}

#[test]
fn a_person_at_a_screen_is_told_of_the_marking_and_nobody_else() {
    let played = |output_is_terminal, errors_are_terminal, dumb| {
        let typist = Typist {
            lines: ["hand over complaint slow cause left pivot stiff"].into(),
            ..Typist::default()
        };
        let host = Host {
            output_is_terminal,
            errors_are_terminal,
            dumb,
            ..Host::default()
        };
        both(typist, &seed_7(), host)
    };
    let line = |done: usize| format!("\rmarking {done} of 1 steps ...");
    let gone = format!("\r{}\r", " ".repeat("marking 1 of 1 steps ...".len()));
    // What is told goes to the errors' screen, also when the output goes to a file.
    let (output, errors) = played(false, true, false);
    assert_eq!(errors, [line(0), line(1), gone].concat());
    assert!(!output.contains("marking "), "{output}");
    assert_eq!(played(true, true, true).1, "marking ...\n");
    assert_eq!(played(true, false, false).1, "");
}

#[test]
fn whoever_waits_for_an_answer_of_the_technician_is_told_at_once() {
    let told = |dumb| {
        let typist = Typist {
            lines: ["key on; low; look", "hint where", "why", "why", "pause"].into(),
            ..Typist::default()
        };
        let host = Host {
            errors_are_terminal: true,
            dumb,
            ..Host::default()
        };
        both(typist, &seed_7(), host).1
    };
    let errors = told(false);
    assert_eq!(errors.matches("\rthinking ...").count(), 3, "{errors:?}");
    assert!(errors.ends_with(" \r"), "{errors:?}");
    assert_eq!(told(true), "thinking ...\n".repeat(3));
}

#[test]
fn all_jumper_leads_come_off_at_a_word() {
    let typist = Typist {
        lines: [
            "jumper motor 53 battery pos; jumper motor 31 battery neg",
            "remove all jumpers",
            "where",
            "remove all jumpers",
            "pause",
        ]
        .into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    assert_eq!(shown.matches(" is off.").count(), 2, "{shown}");
    assert!(shown.contains("Apart: nothing."), "{shown}");
    assert!(shown.contains("No jumper lead is on."), "{shown}");
}

#[test]
fn words_that_name_no_part_are_asked_about_once_and_kept() {
    let typist = Typist {
        lines: ["repair left pivot free", "hand over", "hand over", "pause"].into(),
        answers: [Answer::Yes, Answer::No, Answer::No].into(),
        parts: [
            Some("slow"),
            Some("left pivot stiff"),
            Some("the thing"),
            Some("the thingummy"),
            Some("greased it well"),
            Some(""),
            Some(""),
            Some(""),
            Some(""),
        ]
        .into(),
    };
    let shown = shown(typist, &seed_7(), Host::default());
    let text = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    for told in [
        "correction: your words are kept in the note; the part stands at left-pivot, the last repair",
        "Complaint (Enter: as before):",
        "complaint: slow, as before",
        "cause: left-pivot stiff, as before",
        "In your own words (Enter: as before):",
    ] {
        assert!(text.contains(told), "{told}: {shown}");
    }
    let told = "complaint slow; cause left-pivot stiff; correction left-pivot.";
    assert_eq!(text.matches(told).count(), 2, "{shown}");
}

#[test]
fn a_hand_over_on_one_line_is_asked_about_as_the_form_asks() {
    let typist = Typist {
        lines: ["hand over complaint slow cause left pivot stiff", "pause"].into(),
        answers: [Answer::No].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    assert!(shown.contains("hand over now? (y)"), "{shown}");
    assert!(shown.contains("Nothing handed over."), "{shown}");
    assert!(!shown.contains("What was wrong"), "{shown}");
}

#[test]
fn a_spanner_tells_whether_a_nut_that_nobody_undid_is_tight() {
    let typist = Typist {
        lines: ["tighten crank nut; tighten connecting link", "pause"].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    assert!(
        shown.contains("Crank-nut does not turn any further."),
        "{shown}"
    );
    assert!(shown.contains("It is done up already."), "{shown}");
}

#[test]
fn nothing_takes_notice_where_nothing_is_on() {
    let typist = Typist {
        lines: [
            "wiggle motor plug",
            "key on; wiggle motor plug",
            "key off; clip motor 53; wiggle motor plug",
            "pause",
        ]
        .into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    let text = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    for told in [
        "The key is off and no meter is clipped, so there is nothing that could take notice.",
        "The motor takes no notice, but the wiper is switched off.",
        "The clipped meter does not follow the hand.",
    ] {
        assert!(text.contains(told), "{told}: {shown}");
    }
}

#[test]
fn a_part_that_was_put_right_already_is_asked_about() {
    let typist = Typist {
        lines: ["repair motor replace", "repair motor replace", "pause"].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    let text = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    let asked = "motor has been replaced already; another: ";
    assert_eq!(text.matches(asked).count(), 1, "{shown}");
}

#[test]
fn a_caution_stands_apart_from_what_it_takes() {
    let typist = Typist {
        lines: ["key on; low", "feel left pivot", "pause"].into(),
        answers: [Answer::No].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    assert!(shown.contains("manual.\nCab to under the dash"), "{shown}");
}

#[test]
fn where_tells_covers_by_their_names() {
    let typist = Typist {
        lines: ["open bonnet; where", "pause"].into(),
        ..Typist::default()
    };
    let shown = shown(typist, &seed_7(), Host::default());
    let told = "Covers on: lower dash panel, switch panel. Off: bonnet.";
    assert!(shown.contains(told), "{shown}");
}
