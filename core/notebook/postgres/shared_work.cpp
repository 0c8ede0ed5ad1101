#include "core/notebook/postgres/shared_work.hpp"

#include <fmt/format.h>

#include <chrono>
#include <condition_variable>
#include <mutex>
#include <system_error>
#include <thread>

namespace nestcup {
namespace {

using SteadyClock = std::chrono::steady_clock;

/// Tasks that are taken, and put down, at once: few, so that a killed worker holds little back, and
/// enough that the way to the server and its disk do not count.
constexpr int tasks_at_once = 8;
constexpr int wrong_shown = 20;
constexpr auto look_at_work_every = std::chrono::milliseconds(300);
/// Counting many tasks keeps the server from the work: at most one part in so many of the time.
constexpr int part_for_looking = 50;

TimeUs wall_now_us() {
  return std::chrono::duration_cast<std::chrono::microseconds>(
             std::chrono::system_clock::now().time_since_epoch())
      .count();
}

class Workers {
 public:
  Workers(const SharedWork& shared, const TaskWork& work) : shared_(shared), work_(work) {}
  Workers(const Workers&) = delete;
  Workers& operator=(const Workers&) = delete;
  ~Workers() { stop(); }

  Result<void> start() {
    running_ = shared_.workers;
    try {
      for (int i = 0; i < shared_.workers; ++i) threads_.emplace_back([this, i] { worker(i); });
    } catch (const std::system_error& problem) {
      running_ -= shared_.workers - static_cast<int>(threads_.size());
      return Error{Fault::io, std::string("a thread cannot be started (") + problem.what() +
                                  "); try fewer with --workers"};
    }
    return {};
  }

  /// @return whether all have ended within the time
  bool wait() {
    std::unique_lock lock(mutex_);
    return ended_.wait_for(lock, look_at_work_every, [&] { return running_ == 0; });
  }

  void stop() {
    {
      const std::lock_guard lock(mutex_);
      stopping_ = true;
    }
    ended_.notify_all();
    for (std::thread& thread : threads_) thread.join();
    threads_.clear();
  }

  Result<long long> outcome() {
    stop();
    if (failed_) return *failed_;
    return own_;
  }

 private:
  void worker(int place) {
    Result<void> done;
    try {
      done = work_all(place);
    } catch (const std::exception& problem) {
      done = Error{Fault::io, problem.what()};
    }
    const std::lock_guard lock(mutex_);
    if (!done) {
      if (!failed_) failed_ = done.error();
      stopping_ = true;
    }
    --running_;
    ended_.notify_all();
  }

  Result<void> work_all(int place) {
    const auto book = PostgresBook::open(shared_.address, {}, PostgresBook::Revisions::of_benches);
    if (!book) return book.error();
    PostgresTasks tasks((*book)->session(), shared_.list,
                        fmt::format("{}.{}", shared_.who, place + 1), shared_.lease_s);
    while (!is_stopping()) {
      const auto taken = tasks.take(tasks_at_once);
      if (!taken) return taken.error();
      if (!taken->empty()) {
        if (auto done = work_through(**book, tasks, *taken); !done) return done;
        continue;
      }
      // Others may have tasks that will come free.
      const auto progress = tasks.progress();
      if (!progress) return progress.error();
      if (progress->done == progress->all) return {};
      std::unique_lock lock(mutex_);
      ended_.wait_for(lock, look_at_work_every, [&] { return stopping_; });
    }
    return {};
  }

  Result<void> work_through(const PostgresBook& book, PostgresTasks& tasks,
                            const std::vector<PostgresRun>& taken) {
    std::vector<DoneTask> done;
    auto leased = SteadyClock::now();
    for (const PostgresRun& one : taken) {
      if (SteadyClock::now() - leased > std::chrono::seconds(shared_.lease_s) / 3) {
        if (auto renewed = tasks.renew(); !renewed) return renewed;
        leased = SteadyClock::now();
      }
      const auto run = stored_run(book.name(), one);
      if (!run) return run.error();
      auto made = work_(book, *run, one);
      if (!made) return made.error();
      done.push_back(std::move(*made));
    }
    auto kept = tasks.put_down(done, shared_.who, wall_now_us());
    if (!kept) return kept;
    const std::lock_guard lock(mutex_);
    own_ += static_cast<long long>(done.size());
    return {};
  }

  bool is_stopping() {
    const std::lock_guard lock(mutex_);
    return stopping_;
  }

  const SharedWork& shared_;
  const TaskWork& work_;
  std::vector<std::thread> threads_;
  std::mutex mutex_;
  std::condition_variable ended_;
  int running_ = 0;  // these four by the mutex
  bool stopping_ = false;
  long long own_ = 0;
  std::optional<Error> failed_;
};

/// Puts up what is to be done, where the user may.
Result<void> put_up(const SharedWork& shared, PostgresTasks& tasks) {
  Result<void> done;
  if (shared.again) done = tasks.open_again();
  if (done) done = tasks.put_up(shared.choice);
  if (done || done.error().kind != Fault::not_permitted) return done;
  return Error{Fault::not_permitted,
               fmt::format("{}: this user may not share in the work on its runs; ask the "
                           "administrator for: GRANT nestcup_worker TO the user",
                           shared.address)};
}

}  // namespace

Result<SharedOutcome> share_work(const SharedWork& shared, const TaskWork& work,
                                 const std::string& wrong,
                                 const std::function<void(const TaskProgress&)>& tell) {
  const auto book = PostgresBook::open(shared.address);
  if (!book) return book.error();
  PostgresTasks tasks((*book)->session(), shared.list, shared.who, shared.lease_s);
  if (auto there = put_up(shared, tasks); !there) return there.error();
  Workers workers(shared, work);
  if (auto started = workers.start(); !started) return started.error();
  auto next_look = SteadyClock::now();
  while (!workers.wait()) {
    const auto begun = SteadyClock::now();
    if (begun < next_look) continue;
    const auto progress = tasks.progress();
    next_look = SteadyClock::now() + part_for_looking * (SteadyClock::now() - begun);
    if (progress) tell(*progress);
  }
  const auto own = workers.outcome();
  if (!own) return own.error();
  const auto all = tasks.progress();
  if (!all) return all.error();
  auto bad = tasks.with_outcome(wrong, wrong_shown);
  if (!bad) return bad.error();
  return SharedOutcome{*all, *own, std::move(*bad)};
}

}  // namespace nestcup
