//! Patterns, as far as the schemas use them: characters, classes, groups, alternatives, `?`, `*`, `+` and both anchors.

/// A piece of a pattern.
#[derive(Clone, Debug)]
enum Piece {
    Begin,
    End,
    /// One character of some ranges, or (`false`) of none of them.
    One(Vec<(char, char)>, bool),
    /// One of several rows of pieces.
    Group(Vec<Vec<Piece>>),
    /// From so many to so many times.
    Repeat(Box<Piece>, usize, usize),
}

/// Whether a text holds what a pattern describes.
pub(super) fn matches(pattern: &str, text: &str) -> bool {
    let letters: Vec<char> = pattern.chars().collect();
    let mut at = 0;
    let whole = Piece::Group(alternatives(&letters, &mut at));
    assert_eq!(at, letters.len(), "`{pattern}` ends early");
    let text: Vec<char> = text.chars().collect();
    (0..=text.len()).any(|from| !ends(std::slice::from_ref(&whole), &text, from).is_empty())
}

fn alternatives(pattern: &[char], at: &mut usize) -> Vec<Vec<Piece>> {
    let mut rows = vec![Vec::new()];
    while let Some(&letter) = pattern.get(*at) {
        *at += 1;
        let piece = match letter {
            ')' => {
                *at -= 1;
                break;
            }
            '|' => {
                rows.push(Vec::new());
                continue;
            }
            '(' => {
                let group = Piece::Group(alternatives(pattern, at));
                assert_eq!(pattern.get(*at), Some(&')'), "a group is not closed");
                *at += 1;
                group
            }
            '^' => Piece::Begin,
            '$' => Piece::End,
            '[' => class(pattern, at),
            '\\' => {
                *at += 1;
                escaped(pattern[*at - 1])
            }
            '{' | '}' | '.' => panic!("`{letter}` is not known here"),
            letter => Piece::One(vec![(letter, letter)], true),
        };
        let times = match pattern.get(*at) {
            Some('?') => Some((0, 1)),
            Some('*') => Some((0, usize::MAX)),
            Some('+') => Some((1, usize::MAX)),
            _ => None,
        };
        let piece = match times {
            Some((least, most)) => {
                *at += 1;
                Piece::Repeat(Box::new(piece), least, most)
            }
            None => piece,
        };
        rows.last_mut().unwrap().push(piece);
    }
    rows
}

fn escaped(letter: char) -> Piece {
    let blanks = || vec![('\t', '\r'), (' ', ' '), ('\u{a0}', '\u{a0}')];
    match letter {
        's' => Piece::One(blanks(), true),
        'S' => Piece::One(blanks(), false),
        '.' => Piece::One(vec![('.', '.')], true),
        letter => panic!("`\\{letter}` is not known here"),
    }
}

fn class(pattern: &[char], at: &mut usize) -> Piece {
    let mut ranges = Vec::new();
    while pattern[*at] != ']' {
        let from = pattern[*at];
        assert!(
            from != '^' && from != '\\',
            "`{from}` is not known in a class here"
        );
        if pattern[*at + 1] == '-' && pattern[*at + 2] != ']' {
            ranges.push((from, pattern[*at + 2]));
            *at += 3;
        } else {
            ranges.push((from, from));
            *at += 1;
        }
    }
    *at += 1;
    Piece::One(ranges, true)
}

/// Where a row of pieces can end that begins at a place of a text.
fn ends(row: &[Piece], text: &[char], from: usize) -> Vec<usize> {
    let mut places = vec![from];
    for piece in row {
        let mut next: Vec<usize> = places
            .iter()
            .flat_map(|at| after(piece, text, *at))
            .collect();
        next.sort_unstable();
        next.dedup();
        places = next;
    }
    places
}

fn after(piece: &Piece, text: &[char], at: usize) -> Vec<usize> {
    let here = |so: bool| if so { vec![at] } else { Vec::new() };
    match piece {
        Piece::Begin => here(at == 0),
        Piece::End => here(at == text.len()),
        Piece::One(ranges, wanted) => {
            let fits = |letter: &char| {
                ranges
                    .iter()
                    .any(|(from, to)| (from..=to).contains(&letter))
                    == *wanted
            };
            text.get(at)
                .filter(|letter| fits(letter))
                .map(|_| at + 1)
                .into_iter()
                .collect()
        }
        Piece::Group(rows) => rows.iter().flat_map(|row| ends(row, text, at)).collect(),
        Piece::Repeat(piece, least, most) => {
            let mut found = if *least == 0 { vec![at] } else { Vec::new() };
            let mut places = vec![at];
            let mut times = 0;
            while times < *most && !places.is_empty() {
                times += 1;
                let next = places.iter().flat_map(|place| after(piece, text, *place));
                places = next.filter(|next| !found.contains(next)).collect();
                places.sort_unstable();
                places.dedup();
                if times >= *least {
                    found.extend(&places);
                }
            }
            found
        }
    }
}

#[test]
fn patterns_match_what_they_should() {
    let name = "^[a-z0-9]+(-[a-z0-9]+)*$";
    for (pattern, text, fits) in [
        (name, "53b", true),
        (name, "a-b-c", true),
        (name, "a--b", false),
        (name, "A", false),
        (name, "", false),
        ("\\S", "  x ", true),
        ("\\S", " \n\t", false),
        ("^\\s*(a|bc)?d[ .]e\\s*$", " bcd.e ", true),
        ("^\\s*(a|bc)?d[ .]e\\s*$", "abcd e", false),
    ] {
        assert_eq!(matches(pattern, text), fits, "{pattern} on {text:?}");
    }
}
