#include "daemon/api/token_keeper.hpp"

#include <sys/stat.h>

#include <algorithm>
#include <utility>

namespace nestcup::daemon {
namespace {

Caller caller_with(const Token& token) {
  const bool may_change = token.role == "operator";
  return {may_change ? Role::bench_operator : Role::viewer, token.name, false};
}

}  // namespace

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
  return caller_with(*found);
}

bool TokenKeeper::still_knows(const Caller& caller) {
  if (caller.is_local || caller.name.empty()) return true;
  look();
  return std::any_of(tokens_.begin(), tokens_.end(),
                     [&](const Token& one) { return caller_with(one) == caller; });
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
