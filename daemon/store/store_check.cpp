#include "daemon/store/store_check.hpp"

#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <utility>

#include "core/store/store_look.hpp"

namespace nestcup::daemon {
namespace {

/// Of the calling thread alone, as Linux has it; a machine that does not allow it goes on without.
void give_way() {
  (void)::setpriority(PRIO_PROCESS, static_cast<id_t>(::syscall(SYS_gettid)), 19);
}

}  // namespace

std::string_view store_check_name(StoreCheckState state) {
  switch (state) {
    case StoreCheckState::under_way:
      return "under way";
    case StoreCheckState::well:
      return "well";
    case StoreCheckState::damaged:
      return "damaged";
    case StoreCheckState::broken_off:
      return "broken off";
  }
  return "broken off";
}

StoreCheck::StoreCheck(std::string store, Log log)
    : store_(std::move(store)), log_(std::move(log)) {}

StoreCheck::~StoreCheck() {
  stopping_ = true;
  if (thread_.joinable()) thread_.join();
}

void StoreCheck::start() {
  thread_ = std::thread([this] { run(); });
}

std::string StoreCheck::problem() const {
  const std::lock_guard lock(mutex_);
  return problem_;
}

void StoreCheck::run() {
  give_way();
  const auto look = look_at_store(store_, [this] { return !stopping_; });
  if (stopping_) return;
  if (!look) return end(StoreCheckState::broken_off, look.error().text);
  if (look->problems.empty()) return end(StoreCheckState::well, {});
  end(StoreCheckState::damaged, look->problems.front());
}

void StoreCheck::end(StoreCheckState state, std::string problem) {
  if (state == StoreCheckState::damaged) {
    log_.error(
        fmt::format("store: {} is damaged ({}); what comes is still written; make a copy (nestcup "
                    "backup), look "
                    "at it (nestcup verify), and bring runs back from a notebook (nestcup import)",
                    store_, problem));
  } else if (state == StoreCheckState::broken_off) {
    log_.warning(fmt::format("store: the look through the whole file ended early: {}", problem));
  }
  const std::lock_guard lock(mutex_);
  problem_ = std::move(problem);
  state_ = state;
}

}  // namespace nestcup::daemon
