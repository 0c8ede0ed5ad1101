// The bench's tokens as the file beside the store has them now.
#pragma once

#include <sys/types.h>

#include <ctime>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/store/token_file.hpp"
#include "daemon/control/caller.hpp"

namespace nestcup::daemon {

/// Reads the file again where it changed, so that a token that was taken back holds no longer. All
/// calls from one thread.
class TokenKeeper {
 public:
  /// @param report  told once where the file cannot be read
  TokenKeeper(std::string path, std::function<void(std::string_view)> report);

  [[nodiscard]] std::optional<Caller> owner(std::string_view token);
  /// Whether somebody who came in before may stay: with a token that is still there, or without
  /// any.
  [[nodiscard]] bool still_knows(const Caller& caller);

 private:
  void look();

  struct State {
    ino_t inode = 0;
    off_t size = -1;
    timespec changed{};
    bool operator==(const State& other) const;
  };

  std::string path_;
  std::function<void(std::string_view)> report_;
  State seen_;
  std::vector<Token> tokens_;
};

}  // namespace nestcup::daemon
