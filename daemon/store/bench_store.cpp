#include "daemon/store/bench_store.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <utility>

#include "core/store/damage.hpp"
#include "core/store/set_aside.hpp"
#include "daemon/store/delivery.hpp"
#include "daemon/store/recorder.hpp"

namespace nestcup::daemon {
namespace {

/// A disk on which each new store is damaged at once must not be filled with them.
constexpr auto least_between = std::chrono::minutes(1);

StoredEvent damage_event(TimeUs time_us, const std::string& damage) {
  return {time_us, "store-damaged", nlohmann::ordered_json{{"reason", damage}}.dump()};
}

}  // namespace

BenchStore::BenchStore(const BenchFile& file, Log log) : file_(file), log_(std::move(log)) {}

/// A name that was mistyped must not cost anybody a file: only where a bench has written before,
/// which its lock file tells, may a file that looks like no store be taken for a damaged one.
Result<void> BenchStore::check_is_own() const {
  std::error_code none;
  if (std::filesystem::exists(file_.store + ".lock", none)) return {};
  const auto size = std::filesystem::file_size(file_.store, none);
  if (none || size == 0) return {};
  const auto store = Store::open(file_.store, StoreMode::read);
  if (!store && says_damaged(store.error())) return store.error();
  return {};
}

Result<Past> BenchStore::open() {
  if (auto own = check_is_own(); !own) return own.error();
  auto lock = StoreLock::take(file_.store, "nestcupd");
  if (!lock) return lock.error();
  lock_ = std::move(*lock);
  finish_replacing(file_.store);
  auto past = open_and_read();
  if (past) return past;
  const Error failure = past.error();
  if (failure.kind == Fault::io) return read_only(failure);
  const bool damaged = opened_ ? tells_of_damage(*opened_, failure) : says_damaged(failure);
  if (!damaged) return failure;
  Past rescued = known_past();
  auto fresh = begun_anew(failure.text, rescued);
  if (!fresh) return fresh.error();
  opened_ = std::move(*fresh);
  return rescued;
}

Result<Past> BenchStore::open_and_read() {
  auto store = Store::open(file_.store, StoreMode::write);
  if (!store) return store.error();
  opened_ = std::move(*store);
  const auto calibrations = opened_->calibrations();
  if (!calibrations) return calibrations.error();
  if (auto ready = introduce_bench(*opened_, file_, *calibrations); !ready) return ready.error();
  return read_past(*opened_, run_probes(file_));
}

/// The disk is full or fails: what can be read is enough to begin with, and readings wait in memory
/// until the store can be written. Where not even calibrations can be read there is no beginning.
Result<Past> BenchStore::read_only(const Error& failure) {
  opened_.reset();
  auto store = Store::open(file_.store, StoreMode::read);
  if (!store || !store->calibrations()) return failure;
  auto past = rescued_past(*store, file_);
  log_("store: " + failure.text + "; readings are held in memory and tried again");
  return past;
}

Result<void> BenchStore::begin_session(const StoredSession& session) {
  session_ = session;
  if (!opened_) return {};
  auto added = opened_->add_session(session);
  if (added || !is_store_failure(added.error())) return added;
  opened_.reset();  // the recorder asks for it again
  return {};
}

void BenchStore::ask(std::function<Held()> held) {
  const std::lock_guard lock(mutex_);
  held_ = std::move(held);
}

Past BenchStore::known_past() {
  Past past;
  if (const auto store = Store::open(file_.store, StoreMode::read)) {
    past = rescued_past(*store, file_);
  }
  const std::lock_guard lock(mutex_);
  if (!held_) return past;
  Held held = held_();
  past.calibrations = std::move(held.calibrations);
  past.results_hidden = held.results_hidden;
  return past;
}

Result<Store> BenchStore::opened_as_it_is() const {
  auto store = Store::open(file_.store, StoreMode::write);
  if (!store) return store;
  const auto calibrations = store->calibrations();
  if (!calibrations) return calibrations.error();
  if (auto ready = introduce_bench(*store, file_, *calibrations); !ready) return ready.error();
  if (auto added = store->add_session(*session_); !added) return added.error();
  return store;
}

Result<Store> BenchStore::open_again(const std::string& damage) {
  if (!damage.empty()) return begun_anew(damage, known_past());
  auto store = opened_as_it_is();
  if (!store && says_damaged(store.error())) return begun_anew(store.error().text, known_past());
  return store;
}

/// The new store is made whole beside the damaged one before it takes its place: whatever cuts this
/// off, the next start finds one or the other.
Result<Store> BenchStore::begun_anew(const std::string& damage, const Past& past) {
  const auto now = Steady::now();
  if (began_anew_ && now - *began_anew_ < least_between) {
    return Error{Fault::bad_data, damage + "; this is the second time in a minute: check the disk"};
  }
  const std::string replacement = replacement_path(file_.store);
  drop_replacement(file_.store);
  if (auto made = make_replacement(replacement, damage, past); !made) return made.error();
  const auto aside = replace_store(file_.store, replacement, unix_now_us());
  if (!aside) return aside.error();
  began_anew_ = now;
  log_("store damaged: " + damage);
  log_(
      fmt::format("the store is set aside as {}, and a new one is begun; runs that were carried "
                  "to a notebook come back with nestcup import",
                  *aside));
  auto store = Store::open(file_.store, StoreMode::write);
  if (!store) return store;
  if (auto ready = introduce_bench(*store, file_, past.calibrations); !ready) return ready.error();
  return store;
}

Result<void> BenchStore::make_replacement(const std::string& path, const std::string& damage,
                                          const Past& past) const {
  auto store = Store::open(path, StoreMode::write);
  if (!store) return store.error();
  if (auto begun = begin_with(*store, file_, past); !begun) return begun;
  const std::vector<StoredEvent> events{
      damage_event(past.last_us.value_or(unix_now_us()) + 1, damage)};
  if (auto added = store->add({}, events); !added) return added;
  if (session_) {
    if (auto added = store->add_session(*session_); !added) return added;
  }
  const auto moved = store->checkpoint(true);
  return moved ? Result<void>{} : moved.error();
}

}  // namespace nestcup::daemon
