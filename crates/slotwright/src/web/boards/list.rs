//! The boards that are known.

use crate::verbs::boards;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::layout::Page;
use maud::html;

/// All boards.
pub fn page(app: &App, _: &Asked) -> Answer {
    let data = app.data();
    let view = boards::list(data.library.catalog());
    let body = html! {
        div.acts {
            a.button href="/boards/new" { "Write a board from its manual" }
            a.button.lesser href="/boards/draft" { "Draft one from a machine's report" }
        }
        @match &app.folder {
            Some(folder) => p.hint { "Boards are kept in " code { (folder.join("boards").display()) } ", over those that the program carries." },
            None => p.hint { "The server was started without a folder of its own data, so that boards can be kept as files only. Start it with " code { "--data FOLDER" } " to save them." },
        }
        div.wide tabindex="0" role="group" aria-label="Table" { table.plans {
            thead { tr {
                th scope="col" { "Board" } th scope="col" { "Memory" } th.number scope="col" { "Sockets" } th.number scope="col" { "Slots" }
                th scope="col" { "Kinds" }
            } }
            tbody {
                @for board in &view.boards {
                    tr {
                        th scope="row" {
                            a href={ "/boards/" (super::one::segment(&board.id)) } { (board.id) }
                            p.about { (board.title) ". " span.hint { (board.about) } }
                        }
                        td { (board.generation) }
                        td.number { (board.sockets) }
                        td.number { (board.slots) }
                        td { (board.kinds.join(", ")) }
                    }
                }
            }
        } }
    };
    Page::new("Boards", "/boards", body).command("slotwright boards").answer()
}
