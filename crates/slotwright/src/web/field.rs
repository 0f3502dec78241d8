//! Fields of forms: a label, a hint, what is wrong beside it, and what was typed still in it.

use super::prose;
use maud::{Markup, html};

/// One field.
#[derive(Debug, Clone, Default)]
pub struct Field<'a> {
    pub name: &'a str,
    pub label: &'a str,
    pub hint: &'a str,
    pub value: &'a str,
    pub wrong: Vec<&'a str>,
    pub required: bool,
    /// Words after the label that are read aloud only, where several fields are called alike.
    pub of: &'a str,
    /// Is the label read aloud only, as in a table whose head shows it?
    pub unseen: bool,
    /// Is it the field to go on in?
    pub focus: bool,
    /// Does it have a line of the form to itself?
    pub broad: bool,
}

impl Field<'_> {
    fn frame(&self, id: &str, control: Markup) -> Markup {
        html! {
            div.field.broad[self.broad] id={ (id) "-field" } {
                label.unseen[self.unseen] for=(id) { (self.label) @if !self.of.is_empty() { span.unseen { (self.of) } } }
                (self.faults(id))
                (control)
                @if !self.hint.is_empty() { p.hint id={ (id) "-hint" } { (self.hint) } }
            }
        }
    }
    fn faults(&self, id: &str) -> Markup {
        html! {
            @if !self.wrong.is_empty() {
                div.wrong id={ (id) "-wrong" } {
                    @for words in &self.wrong { (fault(words)) }
                }
            }
        }
    }
    fn described(&self, id: &str) -> Option<String> {
        let mut by = Vec::new();
        if !self.wrong.is_empty() {
            by.push(format!("{id}-wrong"));
        }
        if !self.hint.is_empty() {
            by.push(format!("{id}-hint"));
        }
        (!by.is_empty()).then(|| by.join(" "))
    }
    fn invalid(&self) -> Option<&'static str> {
        (!self.wrong.is_empty()).then_some("true")
    }
    /// A line of text.
    pub fn line(&self) -> Markup {
        let id = format!("f-{}", self.name);
        self.frame(
            &id,
            html! {
                input id=(id) name=(self.name) type="text" value=(self.value) autocomplete="off" required[self.required] autofocus[self.focus]
                    aria-invalid=[self.invalid()] aria-describedby=[self.described(&id)];
            },
        )
    }
    /// A line that a scanner types into: it has the focus at once, and keyboards on glass begin with capitals.
    pub fn scanner(&self) -> Markup {
        let id = format!("f-{}", self.name);
        self.frame(
            &id,
            html! {
                input id=(id) name=(self.name) type="text" value=(self.value) autocomplete="off" autocapitalize="characters"
                    spellcheck="false" autofocus required aria-invalid=[self.invalid()] aria-describedby=[self.described(&id)];
            },
        )
    }
    /// Several lines of text.
    pub fn lines(&self, rows: usize) -> Markup {
        let id = format!("f-{}", self.name);
        self.frame(
            &id,
            html! {
                textarea id=(id) name=(self.name) rows=(rows) spellcheck="false" autofocus[self.focus] aria-invalid=[self.invalid()]
                    aria-describedby=[self.described(&id)] { "\n" (self.value) }
            },
        )
    }
    /// One of several: (value, words).
    pub fn choice(&self, options: &[(String, String)]) -> Markup {
        self.nth_choice(0, options)
    }
    /// The same for a name that stands several times; `at` tells them apart.
    pub fn nth_choice(&self, at: usize, options: &[(String, String)]) -> Markup {
        let id = if at == 0 { format!("f-{}", self.name) } else { format!("f-{}-{at}", self.name) };
        let known = options.iter().any(|(v, _)| v == self.value);
        self.frame(
            &id,
            html! {
                select id=(id) name=(self.name) aria-invalid=[self.invalid()] aria-describedby=[self.described(&id)] {
                    // What is not on offer stays visible, so that its fault can be understood.
                    @if !known && !self.value.is_empty() { option value=(self.value) selected { (self.value) } }
                    @for (value, words) in options {
                        option value=(value) selected[value == self.value] { (words) }
                    }
                }
            },
        )
    }
    /// Any of several.
    pub fn ticks(&self, options: &[(String, String)], ticked: &dyn Fn(&str) -> bool) -> Markup {
        let id = format!("f-{}", self.name);
        html! {
            fieldset.ticks aria-describedby=[self.described(&id)] {
                legend { (self.label) }
                (self.faults(&id))
                div.row {
                    @for (value, words) in options {
                        label.tick { input type="checkbox" name=(self.name) value=(value) checked[ticked(value)]; " " (words) }
                    }
                }
                @if !self.hint.is_empty() { p.hint id={ (id) "-hint" } { (self.hint) } }
            }
        }
    }
}

/// What is wrong, in words; what was typed or is to be typed stands between backquotes.
pub fn fault(words: &str) -> Markup {
    html! { p { strong { "✕ " } (prose::inline(words)) } }
}

/// Hidden fields that carry a query along.
pub fn carried(query: &super::query::Query) -> Markup {
    html! { @for (name, value) in query.pairs() { input type="hidden" name=(name) value=(value); } }
}
