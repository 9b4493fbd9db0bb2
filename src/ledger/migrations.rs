//! The ledger's tables, as a row of numbered changes; the number reached stands in the file as `user_version`.
//!
//! A change that was ever released is never edited: files made by it exist. What should be otherwise becomes the
//! next change.

use rusqlite::{Connection, Transaction, TransactionBehavior};

/// One change of the tables.
struct Migration {
    /// Its statements.
    sql: &'static str,
    /// What is done with what was booked before, where statements alone cannot do it.
    then: Option<fn(&Transaction<'_>) -> rusqlite::Result<()>>,
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
        then: None,
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
        then: None,
    },
    // The stores. A name in a file is no key: `named` has the number, `known_as` every name it ever had, one of them now.
    // A `thing` is what stands on the shelf, in one unit for ever; a `lot` matches within itself; a `movement` is never
    // changed, only reversed by another. Whole millionths and whole minor units, for SQL adds up text as floating figures.
    // Loose goods, of which no lot is known, stand under lot 0. Only they can fall below nought: a run tells what it
    // used whether or not anybody had counted it in. What takes a movement back names it, and the one the whole chain of
    // taking back and doing again began with (`origin`), whose way and time count. Balances follow by trigger, so that no writer can leave them out of step; beside each stands
    // all that ever came in, which is what a lot's price is for.
    Migration { sql: STORES, then: Some(super::run_stores::book_all) },
];

const STORES: &str = "
create table named (
    id integer primary key,
    sort text not null check (sort in ('material', 'chart', 'dressing', 'variant', 'supplier', 'customer')),
    of integer references named (id),
    check ((sort = 'variant') = (of is not null))
) strict;

create trigger named_is_fixed before update on named
begin select raise(abort, 'a number never changes what it stands for'); end;

create trigger named_is_kept before delete on named
begin select raise(abort, 'what had a name is never deleted'); end;

create table known_as (
    named integer not null references named (id),
    sort text not null,
    of integer not null default 0,
    name text not null check (name <> ''),
    folded text not null check (folded <> ''),
    since integer not null,
    until integer
) strict;

create unique index known_now on known_as (sort, of, folded) where until is null;
create unique index known_once on known_as (named) where until is null;
create index known_ever on known_as (sort, of, folded);

create trigger known_as_is_kept before delete on known_as
begin select raise(abort, 'a name is never forgotten'); end;

create table thing (
    id integer primary key,
    kind text not null check (kind in ('material', 'hook', 'fly')),
    named integer not null references named (id),
    size text check (size <> ''),
    fibre_um integer check (fibre_um > 0),
    revision integer check (revision between 0 and 4294967295),
    variant integer references named (id),
    quality text check (quality in ('good', 'second', 'sample')),
    unit text not null,
    check ((kind = 'fly') = (revision is not null)),
    check ((kind = 'fly') = (quality is not null)),
    check (kind = 'fly' or variant is null),
    check (kind = 'material' or size is not null),
    check (kind = 'material' or fibre_um is null)
) strict;

create unique index thing_once on thing (kind, named, coalesce(size, ''), coalesce(fibre_um, 0), coalesce(revision, 0), coalesce(variant, 0),
    coalesce(quality, ''), unit);

create trigger thing_is_fixed before update on thing
begin select raise(abort, 'a thing and its unit are never changed'); end;

create trigger thing_is_kept before delete on thing
begin select raise(abort, 'a thing is never deleted'); end;

create table lot (
    id integer primary key,
    thing integer not null references thing (id),
    customer integer references named (id),
    run integer references run (id),
    supplier integer references named (id),
    received text,
    price integer check (price >= 0),
    currency text check (length(currency) = 3),
    dye_lot text,
    swatch integer not null default 0 check (swatch in (0, 1)),
    proof text,
    apart_until text,
    note text,
    closed integer not null default 0 check (closed in (0, 1)),
    unique (id, thing),
    check ((price is null) = (currency is null)),
    check (customer is null or price is null)
) strict;

create index lot_of_thing on lot (thing);
create unique index lot_of_run on lot (run, thing) where run is not null;

create trigger lot_is_fixed before update of id, thing, customer, run on lot
begin select raise(abort, 'whose lot it is and of what is never changed'); end;

create trigger lot_is_kept before delete on lot
begin select raise(abort, 'a lot is never deleted'); end;

create table balance (
    thing integer not null references thing (id),
    lot integer not null,
    quantity integer not null check (quantity between -9000000000000000 and 9000000000000000),
    came_in integer not null,
    primary key (thing, lot),
    check (lot = 0 or quantity >= 0)
) strict, without rowid;

create table movement (
    id integer primary key,
    deed integer not null references movement (id),
    at integer not null,
    thing integer not null references thing (id),
    lot integer,
    quantity integer not null check (quantity between -9000000000000000 and 9000000000000000),
    kind text not null check (kind in ('received', 'used', 'made', 'counted', 'wasted', 'returned', 'corrected', 'delivered')),
    run integer references run (id),
    order_name text check (order_name <> ''),
    reverses integer references movement (id),
    origin integer references movement (id),
    reason text,
    foreign key (lot, thing) references lot (id, thing),
    check (deed <= id),
    check ((reverses is null) = (origin is null)),
    check (reverses is null or reverses < id),
    check (quantity <> 0 or kind = 'counted'),
    check (reverses is not null or kind <> 'received' or quantity > 0),
    check (reverses is not null or kind not in ('used', 'wasted', 'returned', 'delivered') or quantity < 0)
) strict;

create index movement_of_thing on movement (thing, id);
create index movement_of_run on movement (run) where run is not null;
create index movement_used on movement (at, thing, quantity) where origin is null and quantity < 0 and kind in ('used', 'made', 'delivered');
create index movement_of_origin on movement (origin) where origin is not null;
create unique index movement_reversed_once on movement (reverses) where reverses is not null;

create trigger movement_follows before insert on movement
when new.id <= coalesce((select max(id) from movement), 0)
begin select raise(abort, 'movements are numbered onward, and none is written over'); end;

create trigger movement_reverses before insert on movement
when new.reverses is not null and not exists (
    select 1 from movement was
    where was.id = new.reverses and was.thing = new.thing and was.lot is new.lot and was.quantity = -new.quantity and was.kind = new.kind
    and new.origin = coalesce(was.origin, was.id))
begin select raise(abort, 'what is taken back has to be the same the other way about'); end;

create trigger movement_balances after insert on movement
begin
    insert into balance (thing, lot, quantity, came_in) select new.thing, coalesce(new.lot, 0), 0, 0
        where not exists (select 1 from balance where thing = new.thing and lot = coalesce(new.lot, 0));
    update balance set quantity = quantity + new.quantity, came_in = came_in + iif(
            new.kind in ('received', 'made') and coalesce((select quantity from movement where id = new.origin), new.quantity) > 0, new.quantity, 0)
        where thing = new.thing and lot = coalesce(new.lot, 0);
end;

create trigger movement_leaves_what_is_set_aside after insert on movement
when new.quantity < 0 and new.lot is not null and exists (select 1 from set_aside where thing = new.thing and lot = new.lot)
begin
    select raise(abort, 'it is set aside') where
        (select quantity from balance where thing = new.thing and lot = new.lot)
        < (select sum(quantity) from set_aside where thing = new.thing and lot = new.lot);
end;

create trigger movement_is_fixed before update on movement
begin select raise(abort, 'a movement is never changed'); end;

create trigger movement_is_kept before delete on movement
begin select raise(abort, 'a movement is never deleted'); end;

create table set_aside (
    order_name text not null,
    order_key text not null check (order_key <> ''),
    thing integer not null references thing (id),
    lot integer not null,
    quantity integer not null check (quantity between 1 and 9000000000000000),
    at integer not null,
    primary key (thing, lot, order_key)
) strict, without rowid;

create index set_aside_for on set_aside (order_key);

create trigger set_aside_is_there after insert on set_aside
begin
    select raise(abort, 'there is not so much to set aside') where
        coalesce((select quantity from balance where thing = new.thing and lot = new.lot), 0)
        < (select sum(quantity) from set_aside where thing = new.thing and lot = new.lot);
end;

create trigger set_aside_is_still_there after update on set_aside
when new.quantity > old.quantity
begin
    select raise(abort, 'there is not so much to set aside') where
        coalesce((select quantity from balance where thing = new.thing and lot = new.lot), 0)
        < (select sum(quantity) from set_aside where thing = new.thing and lot = new.lot);
end;

create table run_for (
    run integer primary key references run (id),
    order_name text not null check (order_name <> '')
) strict;

create table eye_look (
    id integer primary key,
    at integer not null,
    thing integer not null references thing (id),
    full integer not null check (full between 0 and 1000000),
    in_use text check (in_use in ('full', 'half', 'nearly done')),
    movement integer references movement (id)
) strict;

create index eye_look_of_thing on eye_look (thing, id);

create trigger eye_look_is_fixed before update on eye_look
begin select raise(abort, 'what was seen is never changed'); end;

create trigger eye_look_is_kept before delete on eye_look
begin select raise(abort, 'what was seen is never deleted'); end;

create table use_seen (
    deed integer not null references movement (id),
    run integer not null references run (id),
    thing integer not null references thing (id),
    reckoned integer not null check (reckoned >= 0),
    used integer not null check (used >= 0),
    how text not null check (how in ('reckoned', 'counted', 'weighed')),
    primary key (thing, deed)
) strict, without rowid;

create table factor_reset (
    thing integer not null references thing (id),
    at integer not null,
    after integer not null
) strict;

create table counting (
    id integer primary key,
    begun_at integer not null,
    ended_at integer,
    booked integer references movement (id),
    note text,
    check (booked is null or ended_at is not null)
) strict;

create table count_line (
    counting integer not null references counting (id),
    thing integer not null references thing (id),
    lot integer not null,
    at integer not null,
    written text not null,
    found integer check (found between 0 and 9000000000000000),
    expected integer,
    full integer check (full between 0 and 1000000),
    in_use text check (in_use in ('full', 'half', 'nearly done')),
    reason text,
    primary key (counting, thing, lot),
    check ((found is null) = (expected is null)),
    check ((found is null) = (full is not null))
) strict, without rowid;

create trigger count_line_in_time before insert on count_line
when (select ended_at from counting where id = new.counting) is not null
begin select raise(abort, 'the count is over'); end;
";

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
        if let Some(then) = migration.then {
            then(&transaction)?;
        }
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
        let once = || Migration { sql: "create table a (b integer) strict", then: None };
        let broken = [once(), once()];
        up_to(&mut connection, &broken).unwrap_err();
        assert_eq!((version(&connection).unwrap(), schema(&connection).len()), (0, 0));
    }
}
