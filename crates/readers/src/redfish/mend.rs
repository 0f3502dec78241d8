//! A JSON text that breaks off: closes it behind the last value that is whole, so that what came before can be read.

/// The text up to the last whole value, closed; `None` where nothing is whole.
pub fn close(text: &[u8]) -> Option<Vec<u8>> {
    let mut open: Vec<u8> = Vec::new();
    // Where the text may end, and how many brackets were open there.
    let mut end: Option<(usize, usize)> = None;
    let mut at = 0;
    while let Some(byte) = text.get(at) {
        match byte {
            b'{' => open.push(b'}'),
            b'[' => open.push(b']'),
            b'}' | b']' => {
                if open.pop() != Some(*byte) {
                    break;
                }
                end = Some((at + 1, open.len()));
            }
            // What stands before a comma is whole.
            b',' => end = Some((at, open.len())),
            b'"' => match string_end(text, at) {
                Some(quote) => at = quote,
                None => break,
            },
            _ => {}
        }
        at += 1;
    }
    let (length, depth) = end?;
    let mut mended = text.get(..length)?.to_vec();
    mended.extend(open_at(&mended).into_iter().rev());
    (depth > 0 || length < text.len()).then_some(mended)
}

/// The closing quote of the string that opens at `start`.
fn string_end(text: &[u8], start: usize) -> Option<usize> {
    let mut at = start + 1;
    loop {
        match text.get(at)? {
            b'"' => return Some(at),
            b'\\' => at += 2,
            _ => at += 1,
        }
    }
}

/// The brackets that a text leaves open, as their closing halves.
fn open_at(text: &[u8]) -> Vec<u8> {
    let mut open = Vec::new();
    let mut at = 0;
    while let Some(byte) = text.get(at) {
        match byte {
            b'{' => open.push(b'}'),
            b'[' => open.push(b']'),
            b'}' | b']' => {
                open.pop();
            }
            b'"' => match string_end(text, at) {
                Some(quote) => at = quote,
                None => break,
            },
            _ => {}
        }
        at += 1;
    }
    open
}

#[cfg(test)]
mod tests {
    use super::close;

    #[test]
    fn what_is_whole_is_kept() {
        let kept = |text: &str| close(text.as_bytes()).map(|b| String::from_utf8(b).unwrap());
        assert_eq!(kept(r#"{"a":1,"b":{"c":[1,2,"#).as_deref(), Some(r#"{"a":1,"b":{"c":[1,2]}}"#));
        assert_eq!(kept(r#"{"a":"x,\"}","b":tr"#).as_deref(), Some(r#"{"a":"x,\"}"}"#));
        assert_eq!(kept(r#"{"M":[{"a":1},{"a":"#).as_deref(), Some(r#"{"M":[{"a":1}]}"#));
        assert_eq!(kept(r#"{"a":"#), None);
        assert_eq!(kept(r#"{"a":1}"#), None);
    }

    #[test]
    fn every_cut_of_a_text_gives_json_or_nothing() {
        let text = r#"{"Members":[{"@odata.id":"/a\\\"b","n":[1,{"x":null}]},{"y":"é"}],"z":-1.5e3}"#;
        for cut in 0..text.len() {
            if let Some(mended) = close(&text.as_bytes()[..cut]) {
                let read: Result<serde_json::Value, _> = serde_json::from_slice(&mended);
                assert!(read.is_ok(), "{cut}: {}", String::from_utf8_lossy(&mended));
            }
        }
    }
}
