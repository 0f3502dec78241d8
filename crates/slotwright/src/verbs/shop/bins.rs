//! The order in which one walks past the bins.

/// A key to sort bins by: words and numbers in turn, so that `A2` comes before `A12`. Without a name comes first.
pub fn walk(bin: &str) -> Vec<(String, u64)> {
    let mut parts: Vec<(String, String)> = Vec::new();
    for c in bin.chars() {
        match parts.last_mut() {
            Some((_, number)) if c.is_ascii_digit() => number.push(c),
            Some((words, number)) if number.is_empty() => words.push(c),
            _ if c.is_ascii_digit() => parts.push((String::new(), c.to_string())),
            _ => parts.push((c.to_string(), String::new())),
        }
    }
    // More digits than any shelf has are the last of all.
    let number = |digits: String| if digits.is_empty() { 0 } else { digits.parse().unwrap_or(u64::MAX) };
    parts.into_iter().map(|(words, digits)| (words, number(digits))).collect()
}

#[cfg(test)]
mod tests {
    use super::walk;

    #[test]
    fn bins_are_walked_by_their_numbers() {
        let mut bins = ["B1", "A12", "A2", "", "A2-10", "A2-9", "7", "A", "10", "A99999999999999999999"];
        bins.sort_by_key(|bin| walk(bin));
        assert_eq!(bins, ["", "7", "10", "A", "A2", "A2-9", "A2-10", "A12", "A99999999999999999999", "B1"]);
    }
}
