//! The nearest known name, for "did you mean".

/// The known name that is nearest to what was written; `None` where none is near.
pub(crate) fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted: Vec<char> = written.trim().to_lowercase().chars().take(80).collect();
    let room = 1 + wanted.len() / 4;
    known
        .into_iter()
        .map(|name| (distance(&wanted, &name.to_lowercase().chars().take(80).collect::<Vec<_>>()), name))
        .filter(|(far, _)| *far <= room)
        .min()
        .map(|(_, name)| name)
}

/// Letters to insert, drop, replace or swap with a neighbour to make one word of the other (optimal string alignment).
fn distance(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            rows[i][j] = if i == 0 || j == 0 {
                i + j
            } else {
                let same = usize::from(a[i - 1] != b[j - 1]);
                let mut best = (rows[i - 1][j] + 1).min(rows[i][j - 1] + 1).min(rows[i - 1][j - 1] + same);
                if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                    best = best.min(rows[i - 2][j - 2] + 1);
                }
                best
            };
        }
    }
    rows[a.len()][b.len()]
}

/// "did you mean …", or the names that there are.
pub(crate) fn suggest<'a>(written: &str, known: impl IntoIterator<Item = &'a str> + Clone) -> String {
    if let Some(name) = nearest(written, known.clone()) {
        return format!("did you mean `{name}`?");
    }
    let mut names: Vec<&str> = known.into_iter().collect();
    let more = names.len().saturating_sub(12);
    names.truncate(12);
    match (names.is_empty(), more) {
        (true, _) => "there is none to choose from".to_string(),
        (_, 0) => format!("use one of: {}", names.join(", ")),
        _ => format!("use one of: {} and {more} more", names.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_typo_finds_its_name_and_a_stranger_finds_none() {
        let known = ["capacity", "processors", "west-1-outer"];
        assert_eq!(nearest("capactiy", known), Some("capacity"));
        assert_eq!(nearest("WEST-1-outr", known), Some("west-1-outer"));
        assert_eq!(nearest("budget", known), None);
        assert_eq!(suggest("zzz", ["a-name"]), "use one of: a-name");
    }
}
