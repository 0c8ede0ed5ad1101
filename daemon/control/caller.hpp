// Who asks, once that is known.
#pragma once

#include <compare>
#include <string>

namespace nestcup::daemon {

enum class Role { viewer, bench_operator };

struct Caller {
  Role role = Role::viewer;
  std::string name;       ///< login name, or the token's; empty for nobody in particular
  bool is_local = false;  ///< over the control socket, so that the kernel vouches for the name

  auto operator<=>(const Caller&) const = default;
};

}  // namespace nestcup::daemon
