//! Where an address that others can reach asks for its access token.

use super::app::App;
use super::asked::{Answer, Asked};
use super::layout::Page;
use maud::html;

/// Asks for the token, and lets in who has it.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let sent = asked.fields.raw("token").trim();
    let to = [asked.fields.get("to"), asked.query.get("to")].into_iter().find(|t| !t.is_empty()).unwrap_or("/");
    // Only a path of this server: not `//elsewhere`.
    let to = if to.starts_with('/') && !to.starts_with("//") && !to.contains('\\') { to } else { "/" };
    if app.guard.is_token(sent) {
        return Answer::Go(to.to_string());
    }
    let refused = !sent.is_empty();
    let body = html! {
        form method="post" action="/enter" {
            input type="hidden" name="to" value=(to);
            div.field {
                label for="token" { "Access token" }
                @if refused { p.wrong #token-wrong { "That is not the token." } }
                input #token type="password" name="token" autocomplete="current-password" required
                    aria-invalid=[refused.then_some("true")] aria-describedby=[refused.then_some("token-wrong")];
                p.hint { "The person who started this server has it." }
            }
            button { "Enter" }
        }
    };
    let page = Page::new("Enter", "", body);
    if refused { page.refused() } else { page.answer() }
}
