//! Tables of ngspice's answers that are kept, so that they are compared where it is not installed as well.
//!
//! An entry is a line `@ NAME`, a line `# DIGEST` of the deck that was asked, and lines of numbers. A table is
//! refused unless it holds what is asked now, in the same order, from the same decks.

use std::fs;
use std::io;

use super::version;
use crate::fleet::folder;

/// A table of kept answers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Table {
    /// Its file in `tests/reference`.
    pub(super) file: &'static str,
    /// What it is.
    pub(super) head: &'static str,
    /// What the numbers are.
    pub(super) columns: &'static str,
}

/// A number for a text, to know it again (FNV-1a, 64 bits).
pub(super) fn digest(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

impl Table {
    /// The rows of each entry, for the names and digests of what is asked now.
    pub(super) fn read(&self, asked: &[(String, u64)]) -> io::Result<Vec<Vec<Vec<f64>>>> {
        let path = folder("tests/reference").join(self.file);
        let text = fs::read_to_string(&path)
            .map_err(|error| io::Error::other(format!("{}: {error}", path.display())))?;
        parse(&text, asked).ok_or_else(|| {
            io::Error::other(format!(
                "{} is not for what is asked now: make it anew with `cargo run --release -p groundside-tests \
                 --bin truth -- --write-tables`",
                self.file
            ))
        })
    }

    /// Writes entries: name, digest, lines of numbers.
    pub(super) fn write(&self, entries: &[(String, u64, String)]) -> io::Result<()> {
        let version = version().ok_or_else(|| io::Error::other("ngspice is not installed"))?;
        let mut text = format!(
            "# {} by {version}, made by `cargo run --release -p groundside-tests --bin truth -- --write-tables`.\n\
             # Each entry: {}.\n",
            self.head, self.columns
        );
        for (name, digest, rows) in entries {
            text.push_str(&format!("\n@ {name}\n# {digest:016x}\n{rows}\n"));
        }
        fs::write(folder("tests/reference").join(self.file), text)
    }
}

fn parse(text: &str, asked: &[(String, u64)]) -> Option<Vec<Vec<Vec<f64>>>> {
    let entries: Vec<&str> = text.split("\n@ ").skip(1).collect();
    if entries.len() != asked.len() {
        return None;
    }
    let of = |(entry, (name, digest)): (&&str, &(String, u64))| {
        let mut lines = entry.lines();
        let alike = lines.next()? == name && lines.next()? == format!("# {digest:016x}");
        let rows = lines.filter(|line| !line.is_empty()).map(|line| {
            let words = line.split_whitespace().map(str::parse);
            words.collect::<Result<Vec<f64>, _>>().ok()
        });
        rows.collect::<Option<Vec<_>>>().filter(|_| alike)
    };
    entries.iter().zip(asked).map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_for_other_names_decks_or_counts_is_refused() {
        let text =
            "# head\n\n@ one\n# 0000000000000001\n1 2\n3 4\n\n@ two\n# 00000000000000ff\n5\n";
        let asked =
            |first: &str, digest: u64| vec![(first.to_owned(), digest), ("two".to_owned(), 255)];
        let rows = parse(text, &asked("one", 1)).unwrap();
        assert_eq!(
            rows,
            [vec![vec![1.0, 2.0], vec![3.0, 4.0]], vec![vec![5.0]]]
        );
        assert_eq!(parse(text, &asked("other", 1)), None);
        assert_eq!(parse(text, &asked("one", 2)), None);
        assert_eq!(parse(text, &asked("one", 1)[..1]), None);
        assert_eq!(
            parse(&text.replace("5\n", "five\n"), &asked("one", 1)),
            None
        );
    }

    #[test]
    fn a_digest_is_that_of_its_published_examples() {
        // FNV-1a, 64 bits, of nothing and of "a": from the authors' test vectors.
        assert_eq!(digest(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(digest("a"), 0xaf63_dc4c_8601_ec8c);
    }
}
