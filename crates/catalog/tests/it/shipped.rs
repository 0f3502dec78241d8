//! The data that the program carries.

use catalog::Library;

#[test]
fn the_shipped_data_has_no_fault() {
    let library = Library::shipped().unwrap_or_else(|e| panic!("{}", e.render(false)));
    let catalog = library.catalog();
    let counts = (catalog.boards.len(), catalog.processors.len(), catalog.modules.len(), catalog.sources.len());
    println!("{counts:?}");
    assert!(counts.0 > 0 && counts.1 > 0 && counts.2 > 0 && counts.3 > 0, "something is not shipped: {counts:?}");
}
