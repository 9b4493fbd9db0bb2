//! `herl backup` and `herl verify`: the ledger as a whole.

use super::exchange::Progress;
use super::{Fault, Shop};
use crate::bench::names;
use crate::cli::opened::open;
use crate::cli::out::Out;
use crate::cli::{Surroundings, Verdict};
use crate::ledger::Verified;
use crate::measure::Words;
use serde_json::json;
use std::path::{Path, PathBuf};

/// Where the copy goes.
#[derive(Debug, clap::Args)]
pub struct Backup {
    /// The copy; a file that is there is not written over
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Tell as JSON
    #[arg(long)]
    pub json: bool,
}

/// In which form it is told.
#[derive(Debug, clap::Args)]
pub struct Verify {
    /// Tell as JSON
    #[arg(long)]
    pub json: bool,
}

pub(in crate::cli) fn backup(args: &Backup, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let opened = match open(bench, surroundings, out) {
        Ok(opened) => opened,
        Err(verdict) => return verdict,
    };
    let shop = Shop::new(opened, args.json);
    let here = surroundings.folder.as_deref().unwrap_or(Path::new("."));
    let done = copy(&shop, args, here, out).unwrap_or_else(|fault| fault.tell(args.json, out));
    shop.opened.say_which(out);
    done
}

fn copy(shop: &Shop, args: &Backup, here: &Path, out: &mut Out) -> Result<Verdict, Fault> {
    let ledger = shop.reading()?.ok_or_else(|| {
        Fault::new("nothing was booked at this bench yet, so there is nothing to copy", "a bench with a ledger: name its folder with `--bench`")
    })?;
    let to = here.join(&args.file);
    let mut progress = Progress::new();
    ledger.backup_to(&to, |done, all| {
        progress.tell(&format!("copying: {done} of {all} pages"));
        true
    })?;
    progress.end();
    let shown = Words::new(&args.file.to_string_lossy());
    if args.json {
        out.json(&json!({ "schema": 1, "file": shown }));
    } else {
        out.line(&format!("the ledger as it stood is in {shown}; to go back to it, put it in the place of ledger.db while no herl has the bench open, and take ledger.db-wal away"));
    }
    Ok(Verdict::Fine)
}

pub(in crate::cli) fn verify(args: &Verify, bench: Option<&Path>, surroundings: &Surroundings, out: &mut Out) -> Verdict {
    let opened = match open(bench, surroundings, out) {
        Ok(opened) => opened,
        Err(verdict) => return verdict,
    };
    let shop = Shop::new(opened, args.json);
    let done = look_through(&shop, out).unwrap_or_else(|fault| fault.tell(args.json, out));
    shop.opened.remind(out);
    done
}

fn look_through(shop: &Shop, out: &mut Out) -> Result<Verdict, Fault> {
    let Some(ledger) = shop.reading()? else {
        if shop.json {
            out.json(&json!({ "schema": 1, "ledger": null }));
        } else {
            out.line("nothing was booked at this bench yet, so there is nothing to look through");
        }
        return Ok(Verdict::Fine);
    };
    let names = names::names(&shop.opened.bench);
    let mut found = ledger.verify(&names)?;
    // A name that moves by `formerly` as soon as something is booked is no stranger.
    found
        .strangers
        .retain(|stranger| !names.iter().any(|named| named.sort == stranger.sort && named.formerly.iter().any(|was| was.folded() == stranger.name.folded())));
    // Customers are nobody's but the orders', and orders come and go.
    found.strangers.retain(|stranger| stranger.sort != crate::stores::Sort::Customer);
    let wrong = !found.sound() || !found.strangers.is_empty();
    if shop.json {
        out.json(&as_json(&found));
    } else {
        as_text(&found, &ledger, out)?;
    }
    Ok(if wrong { Verdict::Findings } else { Verdict::Fine })
}

fn as_text(found: &Verified, ledger: &crate::ledger::Ledger, out: &mut Out) -> Result<(), Fault> {
    for (heading, all) in
        [("the file", &found.integrity), ("points nowhere", &found.orphans), ("does not add up", &found.amiss), ("a run cannot be read", &found.runs)]
    {
        all.iter().for_each(|one| out.line(&format!("{heading}: {one}")));
    }
    for off in &found.balances {
        let what = ledger.thing(off.thing).map_or_else(|_| format!("thing {}", off.thing), |thing| thing.to_string());
        let place = off.lot.map_or_else(|| "loose".to_owned(), |lot| format!("lot {lot}"));
        out.line(&format!("a balance is not the sum of its movements: {what}, {place}: kept {}, movements say {}", off.kept, off.summed));
    }
    for run in &found.unbooked {
        out.line(&format!("run {run} is booked from before the stores were kept; what it used is not in them"));
    }
    for stranger in &found.strangers {
        let near =
            stranger.nearest.as_ref().map_or_else(|| "no name of the files is near".to_owned(), |near| format!("the nearest name of the files is \"{near}\""));
        let held = if stranger.on_hand { ", and some is on hand" } else { "" };
        let (sort, name) = (stranger.sort.name(), &stranger.name);
        out.line(&format!("the ledger knows the {sort} \"{name}\" and the files do not{held}; {near}; `formerly: {name}` beside the new name takes it along"));
    }
    let wrong = found.integrity.len() + found.orphans.len() + found.amiss.len() + found.runs.len() + found.balances.len();
    let looked = format!("{} movements looked through", found.movements);
    if wrong == 0 && found.strangers.is_empty() {
        out.line(&format!("{looked}: every balance is the sum of its movements, and nothing points nowhere"));
    } else if wrong == 0 {
        out.line(&format!("{looked}: the ledger is sound; nothing under these names is lost"));
    } else {
        out.line(&format!(
            "{looked}: the ledger is not sound; nothing was changed. Keep this file, and go back to a copy from before: `herl backup` makes them"
        ));
    }
    Ok(())
}

fn as_json(found: &Verified) -> serde_json::Value {
    json!({
        "schema": 1,
        "sound": found.sound(),
        "movements": found.movements,
        "integrity": found.integrity,
        "orphans": found.orphans,
        "amiss": found.amiss,
        "runs": found.runs,
        "unbooked": found.unbooked.iter().map(|run| run.0).collect::<Vec<_>>(),
        "balances": found.balances.iter().map(|off| json!({
            "thing": off.thing.0, "lot": off.lot.map(|lot| lot.0), "kept": off.kept.to_string(), "summed": off.summed.to_string(),
        })).collect::<Vec<_>>(),
        "strangers": found.strangers.iter().map(|stranger| json!({
            "sort": stranger.sort.name(), "name": stranger.name, "nearest": stranger.nearest, "on-hand": stranger.on_hand,
        })).collect::<Vec<_>>(),
    })
}
