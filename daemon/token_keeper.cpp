#include "daemon/token_keeper.hpp"

#include <sys/stat.h>

#include <utility>

namespace nestcup::daemon {

bool TokenKeeper::State::operator==(const State& other) const {
  return inode == other.inode && size == other.size && changed.tv_sec == other.changed.tv_sec &&
         changed.tv_nsec == other.changed.tv_nsec;
}

TokenKeeper::TokenKeeper(std::string path, std::function<void(std::string_view)> report)
    : path_(std::move(path)), report_(std::move(report)) {}

std::optional<Caller> TokenKeeper::owner(std::string_view token) {
  look();
  const auto found = find_token(tokens_, token);
  if (!found) return std::nullopt;
  const bool may_change = found->role == "operator";
  return Caller{may_change ? Role::bench_operator : Role::viewer, found->name, false};
}

void TokenKeeper::look() {
  State now;
  struct stat facts {};
  if (stat(path_.c_str(), &facts) == 0) now = {facts.st_ino, facts.st_size, facts.st_mtim};
  if (now == seen_) return;
  seen_ = now;
  auto tokens = read_tokens(path_);
  if (!tokens) report_(tokens.error().text + "; nobody is let in by a token");
  tokens_ = tokens ? std::move(*tokens) : std::vector<Token>{};
}

}  // namespace nestcup::daemon
