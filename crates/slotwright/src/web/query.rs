//! What a page is asked: the pairs of its address, in order; the state of every page lives there.

use form_urlencoded::Serializer;

/// Names and values, as they stand after the `?`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Query(Vec<(String, String)>);

impl Query {
    /// Reads a query string; what is not UTF-8 becomes U+FFFD.
    pub fn parse(text: &str) -> Self {
        Self(form_urlencoded::parse(text.as_bytes()).into_owned().collect())
    }
    /// Pairs that were gathered elsewhere.
    pub fn of(pairs: Vec<(String, String)>) -> Self {
        Self(pairs)
    }
    /// The first value of a name, without the space around it; empty where there is none.
    pub fn get(&self, name: &str) -> &str {
        self.0.iter().find(|(n, _)| n == name).map_or("", |(_, v)| v.trim())
    }
    /// The first value as it was sent.
    pub fn raw(&self, name: &str) -> &str {
        self.0.iter().find(|(n, _)| n == name).map_or("", |(_, v)| v)
    }
    /// A value that must hold something.
    pub fn some(&self, name: &str) -> Option<&str> {
        Some(self.get(name)).filter(|v| !v.is_empty())
    }
    /// Every value of a name that holds something.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.0.iter().filter(move |(n, v)| n == name && !v.trim().is_empty()).map(|(_, v)| v.trim())
    }
    /// Is this one of the values of a name?
    pub fn holds(&self, name: &str, value: &str) -> bool {
        self.all(name).any(|v| v == value)
    }
    /// Is nothing asked?
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
    /// Every pair.
    pub fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(n, v)| (n.as_str(), v.as_str()))
    }
    /// Without some names.
    #[must_use]
    pub fn without(&self, names: &[&str]) -> Self {
        Self(self.0.iter().filter(|(n, _)| !names.contains(&n.as_str())).cloned().collect())
    }
    /// With a name set to one value.
    #[must_use]
    pub fn with(&self, name: &str, value: impl ToString) -> Self {
        let mut next = self.without(&[name]);
        next.0.push((name.to_string(), value.to_string()));
        next
    }
    /// Adds a pair.
    pub fn push(&mut self, name: &str, value: impl ToString) {
        self.0.push((name.to_string(), value.to_string()));
    }
    /// Without the names that hold nothing, so that addresses stay short.
    #[must_use]
    pub fn trimmed(&self) -> Self {
        Self(self.0.iter().filter(|(_, v)| !v.trim().is_empty()).cloned().collect())
    }
    /// The address of a page that is asked this.
    pub fn to(&self, path: &str) -> String {
        if self.0.is_empty() { path.to_string() } else { format!("{path}?{}", self.text()) }
    }
    /// As it stands after the `?`.
    pub fn text(&self) -> String {
        Serializer::new(String::new()).extend_pairs(self.pairs()).finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_is_written_is_read(pairs in proptest::collection::vec(("[^\u{0}]{1,8}", ".{0,12}"), 0..6)) {
            let query = Query::of(pairs);
            prop_assert_eq!(Query::parse(&query.text()), query);
        }
    }

    #[test]
    fn names_are_set_and_left_out() {
        let query = Query::parse("board=dunlin-2s6&kinds=RDIMM&kinds=LRDIMM&about=+750+GB+&free=");
        assert_eq!(query.get("about"), "750 GB");
        assert_eq!(query.all("kinds").collect::<Vec<_>>(), ["RDIMM", "LRDIMM"]);
        assert!(query.some("free").is_none());
        assert_eq!(
            query.with("kinds", "UDIMM").trimmed().without(&["about"]).to("/need"),
            "/need?board=dunlin-2s6&kinds=UDIMM"
        );
    }
}
