//! Access tokens: shown once, kept by their sums, ended for good.

use crate::{each, who};
use domain::Stamp;
use domain::item::Subject;
use store::StoreError;

#[test]
fn a_token_lets_in_until_it_is_revoked_and_its_text_is_nowhere() {
    each(|store| {
        let (token, secret) = store.new_token(" web shop ", &["stock:read", "orders:write"], &who()).unwrap();
        assert_eq!((token.name.as_str(), secret.len()), ("web shop", 64));
        let (_, other) = store.new_token("other", &["stock:read"], &who()).unwrap();
        assert_ne!(secret, other);
        let at = |seconds: i64| Stamp::from_seconds(1_790_000_000 + seconds);
        let found = store.token(&secret, at(0)).unwrap().unwrap();
        assert_eq!((found.id, found.scopes), (token.id, vec!["stock:read".to_string(), "orders:write".to_string()]));
        for wrong in ["", &secret[1..], &secret.to_uppercase().replace(char::is_numeric, "0"), "web shop"] {
            assert_eq!(store.token(wrong, at(0)).unwrap(), None, "{wrong}");
        }
        // To the minute.
        store.token(&secret, at(30)).unwrap();
        let used = |name: &str| store.tokens().unwrap().into_iter().find(|t| t.name == name).unwrap().used;
        assert_eq!((used("web shop"), used("other")), (Some(at(0)), None));
        store.token(&secret, at(61)).unwrap();
        assert_eq!(used("web shop"), Some(at(61)));
        assert!(store.revoke_token("web shop", &who()).unwrap().revoked.is_some());
        assert_eq!(store.token(&secret, at(62)).unwrap(), None);
        assert!(store.token(&other, at(62)).unwrap().is_some());
        store.revoke_token("web shop", &who()).unwrap();
        let acts: Vec<String> = store.history(Subject::Token(token.id)).unwrap().into_iter().map(|e| e.act).collect();
        assert_eq!(acts, ["made", "revoked"], "revoked once");
    });
}

#[test]
fn names_are_given_once_and_a_token_has_a_scope() {
    each(|store| {
        store.new_token("a", &["stock:read"], &who()).unwrap();
        store.revoke_token("a", &who()).unwrap();
        let refused = |name: &str, scopes: &[&str]| {
            matches!(store.new_token(name, scopes, &who()).unwrap_err(), StoreError::Refused(_))
        };
        assert!(refused("a", &["stock:read"]), "also of a revoked one");
        assert!(refused(" ", &["stock:read"]) && refused("b\nc", &["stock:read"]) && refused(&"x".repeat(61), &["x"]));
        assert!(refused("b", &[]) && refused("b", &["stock:read orders:read"]));
        assert!(matches!(store.revoke_token("b", &who()).unwrap_err(), StoreError::Absent { .. }));
        assert_eq!(store.tokens().unwrap().len(), 1);
    });
}
