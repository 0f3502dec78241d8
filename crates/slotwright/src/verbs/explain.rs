//! `explain`: the rules, and one rule with its example judged.

use super::explain_sign::{self, SignLine};
use super::findings::FindingView;
use crate::failure::Failure;
use domain::Build;
use engine::judge::{self, Judgement};
use engine::notation;
use engine::rules::{self, Rule};
use schemars::JsonSchema;
use serde::Serialize;

/// All rules and signs.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RuleListView {
    pub rules: Vec<RuleLine>,
    /// What screening finds in used modules.
    pub signs: Vec<SignLine>,
}

/// One rule in the list.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RuleLine {
    pub name: String,
    /// The worst severity that it gives.
    pub severity: String,
    /// What it finds, in a line.
    pub finds: String,
}

/// One rule explained.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RuleView {
    pub name: String,
    /// The worst severity that it gives.
    pub severity: String,
    /// How much of a build it has to see: `slot`, `channel`, `socket` or `machine`.
    pub scope: String,
    /// Ids in the citation register.
    pub sources: Vec<String>,
    /// Markdown: what it finds, why it matters, an example, and what to do instead.
    pub text: String,
    /// The first example, in the text notation.
    pub example: Option<String>,
    /// What all rules find in the example, worst first.
    pub findings: Vec<FindingView>,
}

/// A rule's answer: plain data and what to draw.
#[derive(Debug)]
pub struct RuleAnswer {
    pub view: RuleView,
    pub example: Option<(Build, Judgement)>,
}

/// All rules, by name.
pub fn list() -> RuleListView {
    let mut rules: Vec<RuleLine> = rules::ALL
        .iter()
        .map(|rule| RuleLine {
            name: rule.name.to_string(),
            severity: rule.severity.to_string(),
            finds: first_sentence(rule.explain),
        })
        .collect();
    rules.sort_by(|a, b| a.name.cmp(&b.name));
    RuleListView { rules, signs: explain_sign::list() }
}

/// One rule with its first example judged.
///
/// # Errors
/// No rule of that name; or its example can't be read, which is our bug.
pub fn one(name: &str) -> Result<RuleAnswer, Failure> {
    let rule = rules::by_name(name.trim()).ok_or_else(|| Failure::NoRule {
        name: name.to_string(),
        near: super::nearest(name, rules::ALL.iter().map(|r| r.name).chain(engine::screen::all().map(|s| s.name))),
    })?;
    let text = example(rule.explain);
    let judged = match &text {
        None => None,
        Some(text) => {
            let read = notation::parse(text)
                .map_err(|e| Failure::Example { rule: rule.name.to_string(), why: e.to_string() })?;
            let judgement = judge::judge(&read.build);
            Some((read.build, judgement))
        }
    };
    Ok(RuleAnswer { view: view(rule, text, judged.as_ref()), example: judged })
}

fn view(rule: &Rule, example: Option<String>, judged: Option<&(Build, Judgement)>) -> RuleView {
    RuleView {
        name: rule.name.to_string(),
        severity: rule.severity.to_string(),
        scope: format!("{:?}", rule.scope).to_lowercase(),
        sources: rule.sources.iter().map(ToString::to_string).collect(),
        text: rule.explain.trim().to_string(),
        example,
        findings: judged
            .map(|(build, judged)| {
                let findings = judged.findings.iter();
                findings.map(|f| FindingView::new(&build.board, f)).collect()
            })
            .unwrap_or_default(),
    }
}

/// The first indented block under the heading *Example*, without its indent.
fn example(explain: &str) -> Option<String> {
    let under = explain.lines().skip_while(|l| l.trim() != "## Example").skip(1);
    let block: Vec<&str> = under
        .take_while(|l| !l.starts_with("## "))
        .skip_while(|l| !l.starts_with("    "))
        .take_while(|l| l.starts_with("    "))
        .map(|l| &l[4..])
        .collect();
    (!block.is_empty()).then(|| block.join("\n"))
}

/// The first sentence under *What it finds*.
fn first_sentence(explain: &str) -> String {
    let under = explain.lines().skip_while(|l| l.trim() != "## What it finds").skip(1);
    let paragraph: Vec<&str> =
        under.map(str::trim).skip_while(|l| l.is_empty()).take_while(|l| !l.is_empty()).collect();
    let paragraph = paragraph.join(" ");
    let end = paragraph.find(". ").unwrap_or(paragraph.len());
    paragraph[..end].trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_a_line_and_an_example_that_is_judged() {
        for line in list().rules {
            assert!(line.finds.len() > 10, "{}", line.name);
            let answer = one(&line.name).unwrap_or_else(|e| panic!("{}: {e}", line.name));
            assert!(
                answer.view.findings.iter().any(|f| f.rule == line.name),
                "{} is not found in its own example",
                line.name
            );
        }
    }
}
