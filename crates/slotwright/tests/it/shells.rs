//! What shells and manual readers take: completions and manual pages.

use crate::program::Place;

#[test]
fn every_shell_gets_completions_that_know_the_verbs() {
    let place = Place::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let told = place.run(&["completions", shell]);
        assert_eq!(told.code, Some(0), "{shell}: {}", told.err);
        for word in ["slotwright", "plan", "check", "boards", "explain", "pick", "svg"] {
            assert!(told.out.contains(word), "{shell} lacks {word}");
        }
    }
    assert_eq!(place.run(&["completions", "tcsh"]).code, Some(2));
}

#[test]
fn every_verb_has_a_manual_page() {
    let place = Place::new();
    let whole = place.run(&["man"]);
    assert!(whole.out.contains(".TH slotwright 1") && whole.out.contains("SLOTWRIGHT_DATA"), "{}", whole.out);
    for verb in ["plan", "check", "boards", "explain", "demo", "completions", "man"] {
        let page = place.run(&["man", verb]);
        assert_eq!(page.code, Some(0), "{verb}: {}", page.err);
        assert!(page.out.contains(&format!("slotwright\\-{verb}")), "{verb}: {}", page.out);
    }
    let none = place.run(&["man", "paln"]);
    assert_eq!(none.code, Some(2));
    assert!(none.err.contains("`plan`"), "{}", none.err);
}
