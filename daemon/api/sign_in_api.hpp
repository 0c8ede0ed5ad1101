// Signing in at the page with a token: /v1/login, /v1/logout.
#pragma once

#include "daemon/control/gate.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// POST /v1/login {"token": "..."}: keeps the token in a cookie that no script can read, and says
/// whose it is; POST /v1/logout takes it back. The gate must outlive the router.
void add_sign_in_routes(Router& router, const Gate& gate);

/// "viewer" or "operator".
[[nodiscard]] const char* role_word(Role role);

}  // namespace nestcup::daemon
