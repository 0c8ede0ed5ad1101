#include "daemon/store/delivery.hpp"

#include <fmt/format.h>
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <future>
#include <memory>

#include "core/notebook/carrier.hpp"
#include "daemon/base/spare_memory.hpp"

namespace nestcup::daemon {
namespace {

// Without a word from anyone it looks now and then; a disk may be back.
constexpr double idle_s = 600.0;
constexpr double store_failed_s = 5.0;

}  // namespace

TimeUs unix_now_us() {
  return std::chrono::duration_cast<std::chrono::microseconds>(
             std::chrono::system_clock::now().time_since_epoch())
      .count();
}

/// Hands outcomes to the recorder and waits until they are stored.
class Delivery::Notes : public OutboxNotes {
 public:
  explicit Notes(Delivery& delivery) : delivery_(delivery) {}

  Result<void> carried(const OwedRevision& revision, TimeUs wall_us) override {
    return stored(
        [revision, wall_us](Store& store) { return Outbox(store).carried(revision, wall_us); });
  }
  Result<void> failed(const OwedRevision& revision, const FailedAttempt& attempt) override {
    return stored(
        [revision, attempt](Store& store) { return Outbox(store).failed(revision, attempt); });
  }

 private:
  Result<void> stored(Recorder::Job job) {
    const auto outcome = std::make_shared<std::promise<Result<void>>>();
    std::future<Result<void>> done = outcome->get_future();
    delivery_.parts_.recorder.post([job = std::move(job), outcome](Store& store) -> Result<void> {
      Result<void> came = job(store);
      // The recorder tries again itself where the disk failed.
      if (came || !is_store_failure(came.error())) outcome->set_value(came);
      return came;
    });
    while (done.wait_for(std::chrono::milliseconds(50)) != std::future_status::ready) {
      if (delivery_.stopping_) return Error{Fault::try_later, "the daemon stops"};
    }
    return done.get();
  }

  Delivery& delivery_;
};

Delivery::Delivery(Parts parts) : parts_(std::move(parts)) {
  for (const NotebookSettings& notebook : parts_.notebooks) {
    states_.push_back({notebook_name(notebook), 0, ""});
  }
  failed_passes_.resize(parts_.notebooks.size());
  if (!parts_.notebooks.empty()) thread_ = std::thread([this] { run(); });
}

Delivery::~Delivery() {
  stop();
}

void Delivery::wake() {
  const std::lock_guard lock(mutex_);
  owes_more_ = true;
  changed_.notify_one();
}

void Delivery::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
    changed_.notify_one();
  }
  if (thread_.joinable()) thread_.join();
}

std::vector<NotebookState> Delivery::states() const {
  const std::lock_guard lock(mutex_);
  return states_;
}

void Delivery::run() {
  // Charts take a processor for a moment, which readings need more (nice(1), of this thread alone).
  constexpr int kindness = 10;
  setpriority(PRIO_PROCESS, 0, kindness);
  while (!stopping_) {
    {
      const std::lock_guard lock(mutex_);
      owes_more_ = false;
    }
    const std::chrono::duration<double> pause(pass());
    give_back_memory();
    std::unique_lock lock(mutex_);
    changed_.wait_for(lock, pause, [this] { return owes_more_ || stopping_; });
  }
}

double Delivery::pass() {
  double pause_s = idle_s;
  for (std::size_t i = 0; i < parts_.notebooks.size() && !stopping_; ++i) {
    pause_s = std::min(pause_s, carry_to(i));
  }
  return pause_s;
}

double Delivery::carry_to(std::size_t place) {
  const auto store = Store::open(parts_.store, StoreMode::read);
  if (!store) {
    tell(place, store.error().text, 0);
    return store_failed_s;
  }
  const auto head = Chain(*store).head();
  const auto notebook = head ? open_notebook(parts_.notebooks[place], book_mark(head->book),
                                             [this] { return !stopping_; })
                             : Result<std::unique_ptr<Notebook>>(head.error());
  if (!notebook) {
    tell(place, notebook.error().text, 0);
    return idle_s;
  }
  Notes notes(*this);
  CarryOptions options;
  options.now_us = unix_now_us;
  options.failed_passes = failed_passes_[place];
  options.go_on = [this] { return !stopping_; };
  // Also while a slow notebook is at it, the status says how much waits.
  options.tell = [&](const OwedRevision&, int owed) { set_waiting(place, owed); };
  if (const auto owed = OutboxView(*store).waiting((*notebook)->name())) set_waiting(place, *owed);
  const auto count = carry(*store, **notebook, notes, options);
  if (!count) {
    tell(place, count.error().text, 0);
    return store_failed_s;
  }
  if (!count->failure.empty()) ++failed_passes_[place];
  if (!count->next_try_us) failed_passes_[place] = 0;
  for (const std::string& remark : count->remarks) parts_.log.warning("notebook: " + remark);
  set_waiting(place, count->waiting);
  if (!count->next_try_us || !count->failure.empty() || count->waiting == 0) {
    tell(place, count->failure, count->carried);
  }
  if (!count->next_try_us) return idle_s;
  return std::max(0.1, to_s(*count->next_try_us - unix_now_us()));
}

void Delivery::set_waiting(std::size_t place, int waiting) {
  const std::lock_guard lock(mutex_);
  states_[place].waiting = waiting;
}

void Delivery::tell(std::size_t place, const std::string& failure, int carried) {
  std::string before;
  std::string name;
  {
    const std::lock_guard lock(mutex_);
    before = std::exchange(states_[place].failure, failure);
    name = states_[place].name;
  }
  if (carried > 0) parts_.log(fmt::format("{}: {} carried", name, carried));
  if (!failure.empty() && failure != before) {
    parts_.log.warning(fmt::format("{}: not carried: {}; tried again by itself", name, failure));
  }
  if (failure.empty() && !before.empty()) parts_.log(fmt::format("{}: carries again", name));
}

}  // namespace nestcup::daemon
