// Who may come in over TCP, before anything else is looked at. Against pages of strangers in the
// user's own browser: the Host must be one of ours (DNS rebinding), an Origin too, and nothing is
// said to other sites. Against strangers on the net: a token, for everything where the bench
// listens beyond this machine, and for every change in any case.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "daemon/control/caller.hpp"
#include "daemon/control/message.hpp"

namespace nestcup::daemon {

/// What the gate looks at of a request; fields as they were sent.
struct Approach {
  std::string_view method;
  std::string path;                     ///< decoded, without the query; empty where it is no path
  std::vector<std::string_view> hosts;  ///< every Host field
  std::optional<std::string_view> origin;
  std::optional<std::string_view> fetch_site;  ///< Sec-Fetch-Site
  std::optional<std::string_view> authorization;
  std::optional<std::string_view> cookie;
};

/// host:port as a URL has it, in lower case, without a trailing dot of the name.
[[nodiscard]] std::string plain_host(std::string_view host);

class Gate {
 public:
  /// Whose token that is; nothing where it is nobody's.
  using TokenOwner = std::function<std::optional<Caller>(std::string_view token)>;

  struct Settings {
    std::vector<std::string> hosts;  ///< allowed ones, as plain_host gives them
    bool needs_token = false;        ///< for looking, too
    /// Numeric addresses with this port are allowed as well, 0 for none: what strangers bend to
    /// their purposes is the names.
    unsigned short any_address_port = 0;
    std::string cookie;  ///< its name
  };

  Gate(Settings settings, TokenOwner owner);

  /// Who asks, or what to answer instead: 400 (no Host, or several), 421 (another's), 403 (a
  /// stranger's page; a viewer who wants to change something), 401 (no token, or a wrong one).
  [[nodiscard]] std::variant<Caller, Response> admit(const Approach& approach) const;

  /// The owner of a token that somebody signs in with.
  [[nodiscard]] std::optional<Caller> owner(std::string_view token) const { return owner_(token); }
  /// The value of a Set-Cookie field (RFC 6265): the token, for this address's pages alone. An
  /// empty token takes it back.
  [[nodiscard]] std::string cookie_with(std::string_view token) const;

 private:
  [[nodiscard]] bool is_ours(std::string_view host) const;
  [[nodiscard]] bool is_our_page(std::string_view origin, std::string_view host) const;
  [[nodiscard]] std::optional<Response> stranger(const Approach& approach) const;
  [[nodiscard]] std::variant<Caller, Response> caller_of(const Approach& approach) const;

  Settings settings_;
  TokenOwner owner_;
};

/// Paths that tell nothing of the bench: the page's own files, /healthz, signing in.
[[nodiscard]] bool is_open_path(std::string_view path);

}  // namespace nestcup::daemon
