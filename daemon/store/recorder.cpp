#include "daemon/store/recorder.hpp"

#include <algorithm>
#include <utility>

namespace nestcup::daemon {
namespace {

constexpr auto retry_after = std::chrono::seconds(1);
constexpr auto checkpoint_every = std::chrono::seconds(30);
/// The log that a killed daemon left behind is moved soon: one that is killed again and again would
/// never come to it, and the log would grow with each.
constexpr auto first_checkpoint_after = std::chrono::seconds(2);
/// Readings in one transaction: some seconds of a busy bench.
constexpr std::size_t most_at_once = 2000;

}  // namespace

bool tells_of_damage(const Store& store, const Error& error) {
  if (says_damaged(error)) return true;
  if (error.kind != Fault::bad_data) return false;
  const auto problems = store.integrity_problems();
  return problems ? !problems->empty() : says_damaged(problems.error());
}

Recorder::Recorder(std::optional<Store> store, Log log, Opener open)
    : store_(std::move(store)),
      log_(std::move(log)),
      open_(std::move(open)),
      checkpoint_at_(Steady::now() + first_checkpoint_after),
      moved_(Steady::now().time_since_epoch().count()),
      thread_([this] { run(); }) {}

Recorder::~Recorder() {
  stop(std::chrono::milliseconds(0));
}

Recorder::Entry& Recorder::open_entry() {
  if (entries_.empty() || entries_.back().job) entries_.emplace_back();
  return entries_.back();
}

void Recorder::add(const Reading& reading) {
  const std::lock_guard lock(mutex_);
  if (entries_.empty()) {
    oldest_ = Steady::now();
    wake_.notify_one();
  }
  open_entry().batch.readings.push_back(reading);
  ++status_.held_readings;
  bound_memory();
}

void Recorder::add(StoredEvent event) {
  const std::lock_guard lock(mutex_);
  if (entries_.empty()) {
    oldest_ = Steady::now();
    wake_.notify_one();
  }
  open_entry().batch.events.push_back(std::move(event));
}

void Recorder::post(Job job) {
  const std::lock_guard lock(mutex_);
  open_entry().job = std::move(job);
  urgent_ = true;
  wake_.notify_one();
}

void Recorder::set_pace(std::chrono::milliseconds pace) {
  const std::lock_guard lock(mutex_);
  pace_ = pace;
  wake_.notify_one();
}

RecorderStatus Recorder::status() const {
  const std::lock_guard lock(mutex_);
  RecorderStatus status = status_;
  status.silent_s = std::chrono::duration<double>(Steady::now() - last_move()).count();
  return status;
}

Recorder::Steady::time_point Recorder::last_move() const {
  return Steady::time_point(Steady::duration(moved_.load()));
}

void Recorder::move() {
  moved_ = Steady::now().time_since_epoch().count();
}

void Recorder::stop(std::chrono::milliseconds patience) {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
    give_up_at_ = Steady::now() + patience;
    retry_at_ = Steady::now();
    wake_.notify_one();
  }
  if (thread_.joinable()) thread_.join();
}

void Recorder::bound_memory() {
  if (status_.held_readings <= most_held_readings) return;
  for (Entry& entry : entries_) {
    auto& readings = entry.batch.readings;
    if (readings.empty()) continue;
    // The oldest go in blocks, so that a store that stays away costs no time.
    const std::size_t count = std::min<std::size_t>(readings.size(), 1000);
    readings.erase(readings.begin(), readings.begin() + static_cast<std::ptrdiff_t>(count));
    status_.held_readings -= count;
    status_.lost_readings += count;
    return;
  }
}

void Recorder::wait_for_work(std::unique_lock<std::mutex>& lock) {
  while (true) {
    const auto now = Steady::now();
    auto until = checkpoint_at_;
    if (!entries_.empty()) {
      const auto due = urgent_ || stopping_ ? now : oldest_ + pace_;
      until = std::min(until, std::max(due, retry_at_));
    } else if (stopping_) {
      return;
    }
    if (until <= now) return;
    wake_.wait_until(lock, std::min(until, now + writer_moves_every));
    move();
  }
}

void Recorder::run() {
  std::unique_lock lock(mutex_);
  status_.has_store = store_.has_value();
  while (true) {
    wait_for_work(lock);
    const bool last = stopping_;
    std::deque<Entry> work = std::exchange(entries_, {});
    urgent_ = false;
    lock.unlock();
    move();
    while (!work.empty() && write(work.front())) {
      work.pop_front();
      move();
    }
    // Also where a disk took nothing: what the log has moved into the file is room for new commits.
    if (Steady::now() >= checkpoint_at_) checkpoint();
    lock.lock();
    take_back(work);
    if (last && (entries_.empty() || Steady::now() >= give_up_at_)) break;
  }
  for (const Entry& entry : entries_) status_.lost_readings += entry.batch.readings.size();
  lock.unlock();
  if (!store_ || !damage_.empty()) return;
  if (auto done = store_->checkpoint(true); !done) log_.error("store: " + done.error().text);
}

/// Puts what could not be written back before what came meanwhile.
void Recorder::take_back(std::deque<Entry>& entries) {
  if (entries.empty()) return;
  retry_at_ = Steady::now() + (stopping_ ? std::chrono::milliseconds(50) : retry_after);
  urgent_ = true;
  while (!entries.empty()) {
    entries_.push_front(std::move(entries.back()));
    entries.pop_back();
  }
}

/// Opens one where there is none, or one that is damaged. @return whether there is one
bool Recorder::has_open_store() {
  if (store_ && damage_.empty()) return true;
  auto opened =
      open_ ? open_(damage_) : Result<Store>(Error{Fault::io, "there is no store to write"});
  if (!opened) {
    note_failure(opened.error());
    return false;
  }
  store_ = std::move(*opened);
  damage_.clear();
  const std::lock_guard lock(mutex_);
  status_.has_store = true;
  return true;
}

/// A damaged store takes nothing any more; the next attempt begins with another one.
void Recorder::look_for_damage(const Error& error) {
  if (!open_ || !tells_of_damage(*store_, error)) return;
  // It stays open until another one is: whatever is moved away under it, closing leaves alone.
  damage_ = error.text;
  const std::lock_guard lock(mutex_);
  status_.has_store = false;
}

bool Recorder::commit(std::span<const Reading> readings, std::span<const StoredEvent> events) {
  const auto begun = Steady::now();
  if (auto added = store_->add(readings, events); !added) {
    if (status().error.empty()) checkpoint_at_ = begun;
    note_failure(added.error());
    look_for_damage(added.error());
    return false;
  }
  const std::lock_guard lock(mutex_);
  const std::chrono::duration<double, std::milli> took = Steady::now() - begun;
  status_.longest_commit_ms = std::max(status_.longest_commit_ms, took.count());
  status_.commits_ms += took.count();
  status_.committed_readings += readings.size();
  status_.held_readings -= readings.size();
  ++status_.commits;
  return true;
}

/// What has gathered while the store failed goes in pieces, so that a disk which fails now and then
/// gets somewhere. What could not be committed stays in the batch.
bool Recorder::write(Batch& batch) {
  const std::span<const Reading> all = batch.readings;
  std::size_t stored = 0;
  bool well = true;
  while (well && (stored < all.size() || !batch.events.empty())) {
    const auto piece = all.subspan(stored, std::min(all.size() - stored, most_at_once));
    well = commit(piece, batch.events);
    if (!well) break;
    stored += piece.size();
    batch.events.clear();
  }
  batch.readings.erase(batch.readings.begin(),
                       batch.readings.begin() + static_cast<std::ptrdiff_t>(stored));
  return well;
}

bool Recorder::write(Entry& entry) {
  if (!has_open_store() || !write(entry.batch)) return false;
  if (entry.job) {
    const auto done = entry.job(*store_);
    if (!done && is_store_failure(done.error())) {
      note_failure(done.error());
      look_for_damage(done.error());
      return false;
    }
  }
  note_success();
  return true;
}

void Recorder::checkpoint() {
  checkpoint_at_ = Steady::now() + checkpoint_every;
  if (!store_ || !damage_.empty()) return;
  // Automatic checkpoints fail silently; this one's answer is looked at.
  auto done = store_->checkpoint(false);
  if (!done) {
    // Where commits fail that is what is told, and not this in turn with it.
    if (status().error.empty()) note_failure(done.error());
    return look_for_damage(done.error());
  }
  const std::lock_guard lock(mutex_);
  status_.log_pages = done->log_pages;
}

void Recorder::note_failure(const Error& error) {
  bool is_new = false;
  {
    const std::lock_guard lock(mutex_);
    ++status_.failed_commits;
    is_new = status_.error != error.text;
    status_.error = error.text;
  }
  if (is_new) log_.error("store: " + error.text + "; readings are held in memory and tried again");
}

void Recorder::note_success() {
  {
    const std::lock_guard lock(mutex_);
    if (status_.error.empty()) return;
    status_.error.clear();
  }
  log_("store: writing works again");
}

}  // namespace nestcup::daemon
