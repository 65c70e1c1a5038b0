//! What lines mean.

use super::*;

#[test]
fn points_are_named_in_many_ways() {
    let v = |red: &str| format!("volts {red} battery.neg");
    let cases: Vec<(&str, String)> = [
        ("volts motor 53", "motor.53"),
        ("volts motor.53", "motor.53"),
        ("VOLTS Motor-53", "motor.53"),
        ("v mot 53b", "motor.53b"),
        ("v wiper motor 53e", "motor.53e"),
        ("v the motor at terminal 53", "motor.53"),
        ("v bat+", "battery.pos"),
        ("v bat pos", "battery.pos"),
        ("v battery +", "battery.pos"),
        ("v battery positive post", "battery.pos-post"),
        ("v b+", "battery.pos"),
        ("v body", "body.metal"),
        ("v chassis", "body.metal"),
        ("v case", "motor.31"),
        ("v motor case", "motor.31"),
        ("v harness motor 53", "motor-plug.53"),
        ("v loom side of motor 53", "motor-plug.53"),
        ("v motor harness 53", "motor-plug.53"),
        ("v motor-plug 53", "motor-plug.53"),
        ("v plug 53a", "motor-plug.53a"),
        ("v motorplug 53", "motor-plug.53"),
        ("v cowl ground", "cowl-ground.stud"),
        ("v cowl ground stud", "cowl-ground.stud"),
        ("v bulk 30 cab", "bulkhead.30-cab"),
        ("v bulkhead.30-cab", "bulkhead.30-cab"),
        ("v bulk h-engine", "bulkhead.h-engine"),
        ("v ign 15", "ignition-switch.15"),
        ("v wiper switch 53b", "wiper-switch.53b"),
        ("v breaker out", "wiper-breaker.out"),
        ("v link in", "fusible-link.in"),
        ("v ammeter in", "ammeter.in"),
        ("v horn feed", "horn.feed"),
        ("please volts on the motor 53, please", "motor.53"),
    ]
    .into_iter()
    .map(|(line, red)| (line, v(red)))
    .collect();
    let cases: Vec<(&str, &str)> = cases
        .iter()
        .map(|(line, words)| (*line, words.as_str()))
        .collect();
    check(&cases);
}

#[test]
fn the_meter_takes_one_point_or_two() {
    check(&[
        ("volts motor 53 to ground", "volts motor.53 battery.neg"),
        ("volts motor 53 motor 31", "volts motor.53 motor.31"),
        (
            "volts between motor 53 and bat-",
            "volts motor.53 battery.neg",
        ),
        (
            "volts from motor 53 to the cowl ground",
            "volts motor.53 cowl-ground.stud",
        ),
        (
            "volts cowl ground bat-",
            "volts cowl-ground.stud battery.neg",
        ),
        (
            "voltage across front ground, body",
            "volts front-ground.stud body.metal",
        ),
        ("drop bat- case", "volts battery.neg motor.31"),
        ("d bat neg motor 31", "volts battery.neg motor.31"),
        (
            "voltage drop wiper-switch 15 wiper-switch 53",
            "volts wiper-switch.15 wiper-switch.53",
        ),
        ("vol motor 53", "volts motor.53 battery.neg"),
        ("o motor 53 motor 31", "ohms motor.53 motor.31"),
        ("ohms case", "ohms motor.31 battery.neg"),
        (
            "continuity harness motor 53 wiper-switch 53",
            "continuity motor-plug.53 wiper-switch.53",
        ),
        ("test lamp motor 53 ground", "lamp motor.53 battery.neg"),
        (
            "load lamp motor-plug 53a",
            "load motor-plug.53a battery.neg",
        ),
        ("diode motor 53 31", "diode motor.53 motor.31"),
        ("amps motor-plug 53 motor 53", "amps motor-plug.53 motor.53"),
        (
            "jumper from motor 53 to bat+",
            "jumper motor.53 battery.pos",
        ),
        ("remove jumper", "remove-jumper"),
        ("new fuse", "new-fuse"),
        ("zero the meter", "zero"),
        ("test battery", "battery-test"),
        ("trace motor strap", "trace motor-strap"),
        ("tug motor plug 53", "tug motor-plug.53"),
        ("wiggle motor plug", "wiggle motor-plug"),
        ("smell motor", "smell motor"),
        ("ask the driver", "ask"),
        ("look at cowl ground", "look-at cowl-ground"),
        ("swap in wiper breaker", "substitute wiper-breaker"),
        ("swap back wiper breaker", "swap-back wiper-breaker"),
        ("engine on", "set alternator on"),
        ("measure volts motor 53", "volts motor.53 battery.neg"),
        ("clip motor 53", "clip motor.53 battery.neg"),
        ("cp motor 53e case", "clip motor.53e motor.31"),
        ("unclip", "unclip"),
        ("clip off", "unclip"),
    ]);
}

#[test]
fn a_clamp_goes_round_a_wire_named_or_told_by_its_ends() {
    check(&[
        ("clamp motor-53", "clamp motor-53"),
        ("clamp wire 53b", "clamp motor-53b"),
        ("amps battery link", "clamp battery-link"),
        (
            "a wire battery pos to fusible link in",
            "clamp battery-link",
        ),
        ("clamp wiper switch 53 motor plug 53", "clamp motor-53"),
        ("clamp wiper switch 53 motor 53", "clamp motor-53"),
        ("clamp motor 31", "clamp motor-strap"),
        ("clamp motor ground strap", "clamp motor-strap"),
        ("clamp harness motor 53e", "clamp motor-53e"),
    ]);
}

#[test]
fn controls_are_worked_by_their_words() {
    check(&[
        ("key on", "set ignition-switch on"),
        ("k acc", "set ignition-switch acc"),
        ("turn the key to on", "set ignition-switch on"),
        ("ignition off", "set ignition-switch off"),
        ("wiper low", "set wiper-switch low"),
        ("w high", "set wiper-switch high"),
        ("wip lo", "set wiper-switch low"),
        ("wiper switch to high speed", "set wiper-switch high"),
        ("put the wiper on low", "set wiper-switch low"),
        ("turn off wiper", "set wiper-switch off"),
        (
            "wiper off at mid-glass",
            "set wiper-switch off at-mid-glass",
        ),
        ("w off mid", "set wiper-switch off at-mid-glass"),
        ("w off mid glass", "set wiper-switch off at-mid-glass"),
        ("low", "set wiper-switch low"),
        ("high", "set wiper-switch high"),
        ("acc", "set ignition-switch acc"),
        ("blower on", "set blower on"),
        ("switch on the blower", "set blower on"),
        ("helper wiper off", "helper set wiper-switch off"),
        (
            "h w off at mid-glass",
            "helper set wiper-switch off at-mid-glass",
        ),
        (
            "have the helper turn the key on",
            "helper set ignition-switch on",
        ),
        ("helper: low", "helper set wiper-switch low"),
        ("horn", "try horn"),
        ("try horn", "try horn"),
        ("t radio", "try radio"),
        ("test the heater blower", "try blower"),
    ]);
}

#[test]
fn senses_and_hands() {
    check(&[
        ("look", "look blades"),
        ("l", "look blades"),
        ("watch the blades", "look blades"),
        ("look at linkage", "look linkage"),
        ("inspect crank", "look linkage"),
        ("look crank nut", "look-at crank-nut"),
        ("look left arm", "look-at left-arm"),
        ("listen", "listen"),
        ("li to the motor", "listen"),
        ("feel motor", "feel motor"),
        ("f wiper breaker", "feel wiper-breaker"),
        ("ammeter", "ammeter"),
        ("read the ammeter", "ammeter"),
        ("am", "ammeter"),
        ("count", "count"),
        ("c", "count"),
        ("count cycles", "count"),
        ("move left arm", "move left-arm"),
        ("mv right wiper", "move right-arm"),
        ("assist left", "assist left-arm"),
        ("wet glass", "wet-glass"),
        ("wet the glass", "wet-glass"),
        ("wet", "wet-glass"),
        ("wait 20 s", "wait 20"),
        ("wait 20", "wait 20"),
        ("z 20s", "wait 20"),
        ("wait 2 min", "wait 120"),
        ("wait for 1.5 minutes", "wait 90"),
        ("wait 30 min", "wait 1800"),
    ]);
}

#[test]
fn going_taking_off_and_putting_back() {
    check(&[
        ("go under dash", "go under-dash"),
        ("g cab", "go cab"),
        ("walk back to the cab", "go cab"),
        ("go engine compartment", "go bonnet"),
        ("go outside", "go windscreen"),
        ("cab", "go cab"),
        ("open bonnet", "remove bonnet-lid"),
        ("remove dash panel", "remove dash-panel"),
        ("take off the switch panel", "remove switch-panel"),
        ("rm dash", "remove dash-panel"),
        ("close bonnet", "fit bonnet-lid"),
        ("put back the lower dash panel", "fit dash-panel"),
        ("fit crank nut", "tighten crank-nut"),
        ("tighten the crank nut", "tighten crank-nut"),
        ("loosen crank nut", "loosen crank-nut"),
        ("remove crank nut", "loosen crank-nut"),
        ("undo link", "loosen connecting-link"),
        ("disconnect connecting link", "loosen connecting-link"),
        ("do up the link", "tighten connecting-link"),
        ("unplug motor plug", "unplug motor-plug"),
        ("un motor", "unplug motor-plug"),
        ("disconnect bulkhead", "unplug bulkhead"),
        ("plug in motor", "plug motor-plug"),
        ("pl motor plug", "plug motor-plug"),
    ]);
}

#[test]
fn verdicts_take_their_words_in_any_order() {
    check(&[
        (
            "conclude motor low brush worn",
            "conclude motor.low-brush-worn",
        ),
        (
            "conclude motor.low-brush-worn",
            "conclude motor.low-brush-worn",
        ),
        ("con motor worn low brush", "conclude motor.low-brush-worn"),
        (
            "con worn low brush of the motor",
            "conclude motor.low-brush-worn",
        ),
        ("con mot magnets", "conclude motor.magnets-weak"),
        ("con motor plug 53 open", "conclude motor-plug.53-open"),
        (
            "con motor plug 53b short to ground",
            "conclude motor-plug.53b-short-to-ground",
        ),
        ("con motor 53 open circuit", "conclude motor-53.open"),
        (
            "con motor strap high res",
            "conclude motor-strap.high-resistance",
        ),
        (
            "con cowl ground high resistance",
            "conclude cowl-ground.high-resistance",
        ),
        ("con left pivot seized", "conclude left-pivot.seized"),
        ("con left stiff", "conclude left-pivot.stiff"),
        ("con breaker weak", "conclude wiper-breaker.weak"),
        ("con breaker open", "conclude wiper-breaker.open"),
        (
            "con park contact stuck on feed",
            "conclude park-contact.stuck-on-feed",
        ),
        ("con crank nut loose", "conclude crank-nut.loose"),
        (
            "con wiper switch low open",
            "conclude wiper-switch.low-open",
        ),
    ]);
}

#[test]
fn repairs_need_their_way_only_where_there_are_several() {
    check(&[
        ("repair crank nut", "repair crank-nut tighten"),
        ("rep motor brushes", "repair motor brushes"),
        ("replace motor", "repair motor replace"),
        ("renew the left pivot", "repair left-pivot replace"),
        ("free right pivot", "repair right-pivot free"),
        ("fix motor strap", "repair motor-strap mend"),
        ("mend cowl ground", "repair cowl-ground mend"),
        ("repair motor 53", "repair motor-53 mend"),
        ("repair wiper switch rep", "repair wiper-switch replace"),
    ]);
}

#[test]
fn paper_takes_no_world() {
    check(&[
        ("diagram", "[Diagram]"),
        ("dg", "[Diagram]"),
        ("data", "[data ]"),
        ("data measuring", "[data measuring]"),
        ("da After the repair", "[data after the repair]"),
        ("readings", "[Readings]"),
        ("where am i?", "[Where]"),
        ("status", "[Where]"),
        ("help", "[help ]"),
        ("?", "[help ]"),
        ("help drop", "[help drop]"),
        ("? v", "[help volts]"),
        ("help hand over", "[help hand over]"),
        ("help key", "[help set]"),
        ("quit", "[Pause]"),
        ("q", "[Pause]"),
        ("hand over", "[HandOverForm]"),
        ("ho", "[HandOverForm]"),
        ("give up", "give-up"),
    ]);
}

#[test]
fn a_hand_over_fits_on_one_line() {
    check(&[
        (
            "hand over complaint slow cause motor low brush worn correction motor note tested; all well",
            "hand-over slow motor.low-brush-worn motor tested; all well",
        ),
        (
            "ho cause left pivot seized",
            "hand-over none left-pivot.seized none",
        ),
        (
            "ho correction left pivot complaint won't park",
            "hand-over does-not-park none left-pivot",
        ),
        (
            "ho complaint none cause unknown note sorry",
            "hand-over none none none sorry",
        ),
        (
            "ho note  cause unknown  to me ",
            "hand-over none none none cause unknown  to me",
        ),
    ]);
}

#[test]
fn semicolons_chain_and_notes_take_the_rest() {
    check(&[
        (
            "key on; wiper low;; look;",
            "set ignition-switch on | set wiper-switch low | look blades",
        ),
        (
            "look; note slow; drop 1.2 V; wet",
            "look blades | note slow; drop 1.2 V; wet",
        ),
        ("note: Ünïcode \u{1b}[31m\tstays", "note Ünïcode [31m stays"),
        ("n help", "note help"),
        (" ; ;", ""),
        ("", ""),
    ]);
}

#[test]
fn again_does_the_last_line_once_more() {
    with(|language| {
        let first = language.read("key on; look", None).unwrap();
        let again = language.read("again", Some("key on; look")).unwrap();
        assert_eq!(first, again);
        let both = language.read("!!; count", Some("key on; look")).unwrap();
        assert_eq!((&both[..2], both.len()), (first.as_slice(), 3));
    });
}

#[test]
fn symptoms_verdicts_components_and_points_are_read_from_free_text() {
    with(|language| {
        for (text, symptom) in [
            ("Dead", Symptom::Dead),
            ("no low", Symptom::NoLow),
            ("does-not-park", Symptom::DoesNotPark),
            ("they won't park at all", Symptom::DoesNotPark),
            ("it runs on", Symptom::RunsOn),
            ("stops after a while", Symptom::CutsOut),
            ("blades still", Symptom::BladesStill),
            ("slow", Symptom::Slow),
        ] {
            let read = language.read_symptom(text);
            assert_eq!(read, Ok(symptom), "{text}");
        }
        let verdict = language.read_verdict("left pivot: seized").unwrap();
        assert_eq!(
            Action::Conclude(verdict).words(language.vehicle),
            "conclude left-pivot.seized"
        );
        assert_eq!(
            language.read_correction("the wiper motor"),
            Ok(language.vehicle.find("motor").unwrap())
        );
        let point = language.read_point("bat-").unwrap();
        assert_eq!(language.vehicle.point_name(point), "battery neg");
        assert!(language.read_symptom("").is_err() && language.read_verdict("").is_err());
        assert!(language.read_correction("").is_err() && language.read_point("").is_err());
    });
}

#[test]
fn a_second_terminal_of_the_same_component_may_stand_alone() {
    check(&[
        ("volts motor 53 31", "volts motor.53 motor.31"),
        ("ohms motor 53 to 53b", "ohms motor.53 motor.53b"),
        ("drop bat + -", "volts battery.pos battery.neg"),
        (
            "volts bulkhead 30-cab 30-engine",
            "volts bulkhead.30-cab bulkhead.30-engine",
        ),
        (
            "volts motor 53 motor plug 53",
            "volts motor.53 motor-plug.53",
        ),
        (
            "volts front-ground body",
            "volts front-ground.stud body.metal",
        ),
    ]);
}

#[test]
fn points_have_a_page_of_help() {
    check(&[("help points", "[Points]"), ("? point", "[Points]")]);
}

#[test]
fn what_is_no_fault_is_named_by_its_words() {
    check(&[
        ("conclude flat battery", "conclude battery.flat"),
        ("conclude battery flat", "conclude battery.flat"),
        ("conclude ice", "conclude windscreen.iced"),
        ("con frozen blades", "conclude windscreen.iced"),
        ("conclude dry glass", "conclude windscreen.dry"),
        (
            "conclude no fault found: flat battery",
            "conclude battery.flat",
        ),
        ("conclude no fault, ice", "conclude windscreen.iced"),
        ("conclude no fault found dry", "conclude windscreen.dry"),
        ("conclude wrong left blade", "conclude left-arm.wrong-blade"),
        (
            "conclude left arm wrong blade",
            "conclude left-arm.wrong-blade",
        ),
        ("explain ice", "repair windscreen explain"),
        ("explain flat battery", "repair battery explain"),
        ("explain battery", "repair battery explain"),
        ("explain no fault found: ice", "repair windscreen explain"),
        ("charge battery", "repair battery charge"),
        ("charge the battery", "repair battery charge"),
        ("clear windscreen", "repair windscreen clear"),
        ("replace left arm", "repair left-arm replace"),
        ("look at windscreen", "look-at windscreen"),
        ("feel windscreen", "feel windscreen"),
    ]);
}
