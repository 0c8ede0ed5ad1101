#include "daemon/recorder.hpp"

#include <algorithm>
#include <utility>

namespace nestcup::daemon {
namespace {

constexpr auto retry_after = std::chrono::seconds(1);
constexpr auto checkpoint_every = std::chrono::seconds(30);

}  // namespace

Recorder::Recorder(Store store, Log log)
    : store_(std::move(store)),
      log_(std::move(log)),
      checkpoint_at_(Steady::now() + checkpoint_every),
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
    if (work.empty() && Steady::now() >= checkpoint_at_) checkpoint();
    lock.lock();
    take_back(work);
    if (last && (entries_.empty() || Steady::now() >= give_up_at_)) break;
  }
  for (const Entry& entry : entries_) status_.lost_readings += entry.batch.readings.size();
  lock.unlock();
  if (auto done = store_.checkpoint(true); !done) log_.error("store: " + done.error().text);
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

bool Recorder::write(Entry& entry) {
  if (!entry.batch.empty()) {
    const auto begun = Steady::now();
    if (auto added = store_.add(entry.batch.readings, entry.batch.events); !added) {
      note_failure(added.error());
      return false;
    }
    const std::lock_guard lock(mutex_);
    const std::chrono::duration<double, std::milli> took = Steady::now() - begun;
    status_.longest_commit_ms = std::max(status_.longest_commit_ms, took.count());
    status_.commits_ms += took.count();
    status_.committed_readings += entry.batch.readings.size();
    status_.held_readings -= entry.batch.readings.size();
    ++status_.commits;
    entry.batch = {};
  }
  if (entry.job) {
    if (auto done = entry.job(store_); !done && done.error().kind == Fault::io) {
      note_failure(done.error());
      return false;
    }
  }
  note_success();
  return true;
}

void Recorder::checkpoint() {
  checkpoint_at_ = Steady::now() + checkpoint_every;
  // Automatic checkpoints fail silently; this one's answer is looked at.
  auto done = store_.checkpoint(false);
  if (!done) return note_failure(done.error());
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
