//! The schema, step by step. A step that was released is never changed; a later one follows it.

use sqlx::SqlSafeStr;
use sqlx::migrate::{Migration, MigrationType, Migrator};

/// (number, name, for SQLite, for PostgreSQL)
const STEPS: &[(i64, &str, &str, &str)] = &[
    (
        1,
        "shop",
        include_str!("../migrations/sqlite/0001_shop.sql"),
        include_str!("../migrations/postgres/0001_shop.sql"),
    ),
    (
        2,
        "evidence",
        include_str!("../migrations/sqlite/0002_evidence.sql"),
        include_str!("../migrations/postgres/0002_evidence.sql"),
    ),
    (
        3,
        "orders of quotes",
        include_str!("../migrations/sqlite/0003_quotes.sql"),
        include_str!("../migrations/postgres/0003_quotes.sql"),
    ),
    (
        4,
        "sums of batches",
        include_str!("../migrations/sqlite/0004_sums.sql"),
        include_str!("../migrations/postgres/0004_sums.sql"),
    ),
    (
        5,
        "settings, costs of orders, states of price lists",
        include_str!("../migrations/sqlite/0005_selling.sql"),
        include_str!("../migrations/postgres/0005_selling.sql"),
    ),
];

/// The steps for SQLite.
pub fn sqlite() -> Migrator {
    of(|step| step.2)
}

/// The steps for PostgreSQL.
pub fn postgres() -> Migrator {
    of(|step| step.3)
}

fn of(text: impl Fn(&(i64, &'static str, &'static str, &'static str)) -> &'static str) -> Migrator {
    let step = |s: &(i64, &'static str, &'static str, &'static str)| {
        let (number, name, ..) = *s;
        Migration::new(number, name.into(), MigrationType::Simple, text(s).into_sql_str(), false)
    };
    Migrator::with_migrations(STEPS.iter().map(step).collect())
}

#[cfg(test)]
mod tests {
    use super::STEPS;

    /// The two texts say the same, but for the words in which the databases differ.
    #[test]
    fn both_databases_have_one_schema() {
        for (number, _, lite, pg) in STEPS {
            let as_lite = pg
                .replace("bigint generated always as identity primary key", "integer primary key autoincrement")
                .replace("bigint", "integer")
                .replace("bytea", "blob")
                .replace("\n);\n", "\n) strict;\n");
            assert_eq!(as_lite, *lite, "step {number}");
        }
    }
}
