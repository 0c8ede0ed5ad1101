#include "tools/store_change.hpp"

#include <fmt/format.h>
#include <pwd.h>
#include <unistd.h>

#include <chrono>

namespace nestcup {
namespace {

std::string login_name() {
  const passwd* entry = getpwuid(geteuid());
  return entry ? entry->pw_name : fmt::format("uid {}", geteuid());
}

}  // namespace

RevisionNote note_now(const std::string& action, const std::string& reason) {
  const auto now = std::chrono::system_clock::now().time_since_epoch();
  return {action, reason, login_name(),
          std::chrono::duration_cast<std::chrono::microseconds>(now).count()};
}

Result<void> change_store(const std::string& path,
                          const std::function<Result<void>(Store&)>& work) {
  if (auto there = Store::open(path, StoreMode::read); !there) return there.error();
  const auto lock = StoreLock::take(path, "nestcup");
  if (!lock) return lock.error();
  auto store = Store::open(path, StoreMode::write);
  if (!store) return store.error();
  return work(*store);
}

}  // namespace nestcup
