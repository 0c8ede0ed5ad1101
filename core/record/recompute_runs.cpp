#include "core/record/recompute_runs.hpp"

#include <algorithm>
#include <condition_variable>
#include <future>
#include <mutex>
#include <system_error>
#include <thread>

namespace nestcup {
namespace {

/// So many runs a thread may be worked out before they are taken: what waits is held in memory.
constexpr std::size_t waiting_per_thread = 4;

/// Threads that work runs out in their order, not far ahead of those who take them.
class Crew {
 public:
  Crew(const RunBook& book, const std::vector<StoredRun>& runs, const std::optional<Sheet>& sheet)
      : book_(book), runs_(runs), sheet_(sheet), done_(runs.size()) {}

  Crew(const Crew&) = delete;
  Crew& operator=(const Crew&) = delete;

  ~Crew() {
    {
      const std::lock_guard lock(mutex_);
      stopping_ = true;
    }
    wake_.notify_all();
    for (std::thread& thread : threads_) thread.join();
  }

  Result<void> start(std::size_t threads) {
    ahead_ = threads * waiting_per_thread;
    try {
      while (threads_.size() < threads) threads_.emplace_back([this] { work(); });
    } catch (const std::system_error& problem) {
      return Error{Fault::io, std::string("a thread cannot be started (") + problem.what() +
                                  "); try fewer with --threads"};
    }
    return {};
  }

  /// Waits for the run; to be asked for in order.
  Result<Recomputed> take(std::size_t index) {
    Result<Recomputed> made = done_[index].get_future().get();
    {
      const std::lock_guard lock(mutex_);
      taken_ = index + 1;
    }
    wake_.notify_all();
    return made;
  }

 private:
  void work() {
    const auto book = book_.reopened();
    while (const auto index = next()) {
      try {
        const StoredRun& run = runs_[*index];
        done_[*index].set_value(book ? recompute(**book, run, sheet_)
                                     : Result<Recomputed>(book.error()));
      } catch (...) {
        done_[*index].set_exception(std::current_exception());
      }
    }
  }

  /// The next run to be worked out; nothing where all are, or nobody wants them any more.
  std::optional<std::size_t> next() {
    std::unique_lock lock(mutex_);
    wake_.wait(lock, [&] { return stopping_ || next_ == runs_.size() || next_ < taken_ + ahead_; });
    if (stopping_ || next_ == runs_.size()) return std::nullopt;
    return next_++;
  }

  const RunBook& book_;
  const std::vector<StoredRun>& runs_;
  const std::optional<Sheet>& sheet_;
  std::vector<std::promise<Result<Recomputed>>> done_;
  std::vector<std::thread> threads_;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::size_t ahead_ = 0;  // these four by the mutex
  std::size_t next_ = 0;
  std::size_t taken_ = 0;
  bool stopping_ = false;
};

Result<void> one_by_one(const RunBook& book, const std::vector<StoredRun>& runs,
                        const std::optional<Sheet>& sheet, const TakeRecomputed& take) {
  for (const StoredRun& run : runs) {
    const auto made = recompute(book, run, sheet);
    if (!made) return made.error();
    if (auto taken = take(*made); !taken) return taken;
  }
  return {};
}

}  // namespace

int usual_recompute_threads() {
  const unsigned processors = std::thread::hardware_concurrency();
  return std::clamp(static_cast<int>(processors), 1, most_recompute_threads);
}

Result<void> recompute_runs(const RunBook& book, const std::vector<StoredRun>& runs,
                            const std::optional<Sheet>& sheet, int threads,
                            const TakeRecomputed& take) {
  const std::size_t useful = std::min(static_cast<std::size_t>(threads), runs.size());
  if (useful < 2) return one_by_one(book, runs, sheet, take);
  Crew crew(book, runs, sheet);
  if (auto started = crew.start(useful); !started) return started;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const auto made = crew.take(i);
    if (!made) return made.error();
    if (auto taken = take(*made); !taken) return taken;
  }
  return {};
}

}  // namespace nestcup
