//! The ledger's tables, as a row of numbered changes; the number reached stands in the file as `user_version`.
//!
//! A change that was ever released is never edited: files made by it exist. What should be otherwise becomes the
//! next change.

use rusqlite::{Connection, Transaction, TransactionBehavior};

/// One change of the tables.
struct Migration {
    /// Its statements.
    sql: &'static str,
}

/// All changes; the first leads to version 1.
const MIGRATIONS: &[Migration] = &[
    // A sitting must come back to the same place after a power cut. So what is booked are events and never a state;
    // they are numbered by the program (two writers collide instead of mixing) and never changed. Beside them each
    // run keeps the outline it was begun with (the dressing's file may change between two sittings), and whether
    // it is done, so that the runs still open are found without taking all events again.
    Migration {
        sql: "
create table run (
    id integer primary key,
    dressing text not null check (dressing <> ''),
    revision integer not null check (revision between 0 and 4294967295),
    size text not null check (size <> ''),
    variant text check (variant <> ''),
    flies integer not null check (flies between 1 and 4294967295),
    begun_at integer not null,
    done_at integer,
    frozen text not null check (json_valid(frozen))
) strict;

create index run_open on run (begun_at) where done_at is null;

create trigger run_is_fixed before update of id, dressing, revision, size, variant, flies, begun_at, frozen on run
begin select raise(abort, 'what a run was begun with is never changed'); end;

create trigger run_is_kept before delete on run
begin select raise(abort, 'a run is never deleted'); end;

create table event (
    run integer not null references run (id),
    number integer not null check (number between 1 and 4294967295),
    at integer not null,
    ran_ms integer not null check (ran_ms >= 0),
    did text not null check (json_valid(did)),
    primary key (run, number)
) strict, without rowid;

create trigger event_follows before insert on event
when new.number <> 1 + coalesce((select max(number) from event where run = new.run), 0)
begin select raise(abort, 'events are numbered without a gap'); end;

create trigger event_is_fixed before update on event
begin select raise(abort, 'an event is never changed'); end;

create trigger event_is_kept before delete on event
begin select raise(abort, 'an event is never deleted'); end;
",
    },
    // A run becomes more than its steps: a sample is told from flies that count, a run can follow from the sample it was
    // agreed by, and the whole card stands beside it as it was tied, with its formulas' texts, so that it can be drawn and
    // asked why when the dressing's file has moved on. The runs of one dressing are looked for when the next one is begun,
    // to learn from.
    Migration {
        sql: "
alter table run add column kind text not null default 'counted' check (kind in ('counted', 'sample'));
alter table run add column sample integer references run (id);
alter table run add column card text check (card is null or json_valid(card));

create index run_of_dressing on run (dressing, begun_at);

create trigger run_is_fixed_too before update of kind, sample, card on run
begin select raise(abort, 'what a run was begun with is never changed'); end;
",
    },
];

/// The newest version known here.
pub(super) const NEWEST: i64 = MIGRATIONS.len() as i64;

/// `herl` in ASCII; in the file's header it says whose the file is.
pub(super) const APPLICATION: i32 = 0x6865_726C;

/// Brings the tables up to date, all changes in one transaction. The caller has refused files that are foreign or newer.
pub(super) fn bring_up(connection: &mut Connection) -> rusqlite::Result<()> {
    up_to(connection, MIGRATIONS)
}

fn up_to(connection: &mut Connection, all: &[Migration]) -> rusqlite::Result<()> {
    if version(connection)? >= all.len() as i64 {
        return Ok(());
    }
    let transaction = Transaction::new(connection, TransactionBehavior::Immediate)?;
    // Read again under the lock: another program may have been quicker.
    let from = version(&transaction)?;
    let done = usize::try_from(from).unwrap_or(0);
    for (nth, migration) in all.iter().enumerate().skip(done) {
        transaction.execute_batch(migration.sql)?;
        transaction.pragma_update(None, "user_version", nth as i64 + 1)?;
    }
    transaction.pragma_update(None, "application_id", APPLICATION)?;
    transaction.commit()
}

/// The version the file has reached.
pub(super) fn version(connection: &Connection) -> rusqlite::Result<i64> {
    connection.pragma_query_value(None, "user_version", |row| row.get(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn schema(connection: &Connection) -> Vec<String> {
        let mut all = connection.prepare("select coalesce(sql, name) from sqlite_schema order by name").unwrap();
        all.query_map([], |row| row.get(0)).unwrap().collect::<Result<_, _>>().unwrap()
    }

    #[test]
    fn one_by_one_and_all_at_once_come_to_the_same() {
        let mut at_once = Connection::open_in_memory().unwrap();
        bring_up(&mut at_once).unwrap();
        let mut one_by_one = Connection::open_in_memory().unwrap();
        for known in 1..=MIGRATIONS.len() {
            up_to(&mut one_by_one, &MIGRATIONS[..known]).unwrap();
            assert_eq!(version(&one_by_one).unwrap(), known as i64);
        }
        assert_eq!(schema(&at_once), schema(&one_by_one));
        assert_eq!(version(&at_once).unwrap(), NEWEST);
        bring_up(&mut at_once).unwrap();
        assert_eq!(schema(&at_once), schema(&one_by_one), "a second time changes nothing");
    }

    #[test]
    fn a_change_that_fails_leaves_the_file_where_it_was() {
        let mut connection = Connection::open_in_memory().unwrap();
        let broken = [Migration { sql: "create table a (b integer) strict" }, Migration { sql: "create table a (b integer) strict" }];
        up_to(&mut connection, &broken).unwrap_err();
        assert_eq!((version(&connection).unwrap(), schema(&connection).len()), (0, 0));
    }
}
