// The store's file: sound, its size, its log, who writes it; and what is kept how long.
#include <fmt/format.h>

#include "core/store/store_look.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

/// Four times what the daemon lets it come to between two moves into the file.
constexpr std::int64_t large_log_bytes = std::int64_t{256} << 20;

Check pages_check(const StoreLook& look) {
  if (look.problems.empty()) {
    return {"store", Verdict::ok,
            fmt::format("its pages are sound: {}, {} readings, tables {} of {}",
                        size_text(static_cast<double>(look.bytes)), look.readings,
                        look.tables_version, look.newest_version),
            ""};
  }
  return {"store", Verdict::trouble, "the file is damaged: " + look.problems.front(),
          "stop the daemon, keep the file as it is, and go back to a copy (nestcup backup --help "
          "says how); nestcup verify shows which runs are whole"};
}

Check writer_check(const Bench& bench) {
  const std::string writer = store_writer(bench.file.store);
  if (writer.empty() && bench.status) {
    return {"store", Verdict::trouble, "a daemon answers, but nobody has this store for writing",
            "the bench file may name another store than the daemon was started with: start it "
            "anew"};
  }
  if (!writer.empty() && !bench.status && writer.starts_with("nestcupd")) {
    return {"store", Verdict::trouble,
            fmt::format("{} writes it, but does not answer at {}", writer, bench.file.control),
            "the bench file may name another socket than the daemon was started with; else end "
            "that process and start the daemon anew"};
  }
  return {"store", Verdict::ok,
          writer.empty() ? "nobody writes it now" : fmt::format("{} writes it", writer), ""};
}

}  // namespace

Checks store_checks(const Bench& bench) {
  const auto look = look_at_store(bench.file.store);
  if (!look) {
    const bool is_new = look.error().kind == Fault::no_input;
    const bool is_damaged = look.error().kind == Fault::bad_data;
    return {{"store", is_new ? Verdict::note : Verdict::trouble,
             (is_damaged ? "the file is damaged, or no store: " : "") + look.error().text,
             is_new ? "the daemon makes it when it starts for the first time"
                    : "see what is said; a copy of the store is gone back to as nestcup backup "
                      "--help says"}};
  }
  Checks checks{pages_check(*look), writer_check(bench)};
  if (look->log_bytes > large_log_bytes) {
    checks.push_back({"store", Verdict::note,
                      fmt::format("its log has grown to {}: something has been reading the store "
                                  "for long",
                                  size_text(static_cast<double>(look->log_bytes))),
                      "end programs that hold the store open; the daemon then moves the log into "
                      "the file"});
  }
  return checks;
}

Checks keeping_checks(const Bench& bench) {
  const auto& days = bench.file.keep_readings_days;
  Check check{"kept", Verdict::ok, "", ""};
  check.what = days ? fmt::format("runs are kept for ever, readings outside runs {} days", *days)
                    : "runs and all readings are kept for ever";
  if (!days) return {check};
  if (bench.status) {
    const std::string held = bench.status->at("store").value("removal_held", "");
    if (!held.empty()) {
      check.verdict = Verdict::note;
      check.what += "; but for now: " + held;
      check.remedy = "set right what is in the way, or leave it: nothing is lost by waiting";
      return {check};
    }
  }
  const auto store = Store::open(bench.file.store, StoreMode::read);
  if (!store) return {check};  // told by store_checks
  const auto pages = Retention::pages(*store);
  if (pages && !pages->can_be_given_back) {
    check.verdict = Verdict::note;
    check.what +=
        "; the store was begun by an earlier version: the room of removed readings is "
        "used again, but not given back to the disk";
    check.remedy =
        "nothing need be done; nestcup backup --compact makes a store that does give it "
        "back";
  }
  return {check};
}

}  // namespace nestcup::doctor
