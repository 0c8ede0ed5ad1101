#include "daemon/control/gate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/ip/address.hpp>
#include <cctype>
#include <utility>

namespace nestcup::daemon {
namespace {

constexpr std::string_view bearer = "bearer ";

bool looks_only(std::string_view method) {
  return method == "GET" || method == "HEAD";
}

/// Signing in and out changes nothing at the bench.
bool is_sign_in(std::string_view path) {
  return path == "/v1/login" || path == "/v1/logout";
}

std::string lower(std::string_view text) {
  std::string made(text);
  std::transform(made.begin(), made.end(), made.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return made;
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

/// The value of a cookie (RFC 6265, section 4.2.1); nothing where there is none of that name.
std::optional<std::string_view> cookie_value(std::string_view cookies, std::string_view name) {
  while (!cookies.empty()) {
    const std::size_t end = std::min(cookies.find(';'), cookies.size());
    const std::string_view pair = trimmed(cookies.substr(0, end));
    cookies.remove_prefix(std::min(end + 1, cookies.size()));
    const std::size_t equals = pair.find('=');
    if (equals != std::string_view::npos && pair.substr(0, equals) == name) {
      return pair.substr(equals + 1);
    }
  }
  return std::nullopt;
}

/// The token of "Authorization: Bearer ..." (RFC 6750, section 2.1).
std::optional<std::string_view> bearer_token(std::string_view authorization) {
  if (authorization.size() <= bearer.size()) return std::nullopt;
  if (lower(authorization.substr(0, bearer.size())) != bearer) return std::nullopt;
  return trimmed(authorization.substr(bearer.size()));
}

/// Whether that is a numeric address and this port.
bool is_address(const std::string& host, unsigned short port) {
  const std::string end = fmt::format(":{}", port);
  if (port == 0 || !host.ends_with(end)) return false;
  std::string name = host.substr(0, host.size() - end.size());
  if (name.size() > 2 && name.front() == '[' && name.back() == ']') {
    name = name.substr(1, name.size() - 2);
  }
  boost::system::error_code code;
  (void)boost::asio::ip::make_address(name, code);
  return !code;
}

Response refusal(unsigned status, Fault kind, std::string_view text) {
  return error_response(status, kind, text);
}

}  // namespace

std::string plain_host(std::string_view host) {
  std::string plain = lower(host);
  const std::size_t colon = plain.rfind(':');
  const bool has_port = colon != std::string::npos && plain.find(']', colon) == std::string::npos;
  std::string name = has_port ? plain.substr(0, colon) : plain;
  const std::string port = has_port ? plain.substr(colon) : "";
  if (name.size() > 1 && name.back() == '.') name.pop_back();
  return name + port;
}

bool is_open_path(std::string_view path) {
  return (!path.starts_with("/v1/") && path != "/metrics") || is_sign_in(path);
}

Gate::Gate(Settings settings, TokenOwner owner)
    : settings_(std::move(settings)), owner_(std::move(owner)) {}

bool Gate::is_ours(std::string_view host) const {
  const std::string plain = plain_host(host);
  return std::find(settings_.hosts.begin(), settings_.hosts.end(), plain) !=
             settings_.hosts.end() ||
         is_address(plain, settings_.any_address_port);
}

bool Gate::is_our_page(std::string_view origin, std::string_view host) const {
  if (!origin.starts_with("http://") && !origin.starts_with("https://")) return false;
  const std::string_view its_host = origin.substr(origin.find("://") + 3);
  // Somebody else's page may well be at some address with this port.
  if (is_address(plain_host(its_host), settings_.any_address_port)) {
    return plain_host(its_host) == plain_host(host);
  }
  return is_ours(its_host);
}

std::optional<Response> Gate::stranger(const Approach& approach) const {
  if (approach.hosts.size() != 1) {
    return refusal(400, Fault::usage, "exactly one Host field is needed (RFC 9112)");
  }
  if (!is_ours(approach.hosts.front())) {
    return refusal(421, Fault::not_permitted,
                   "this bench is not known by that name; a name it may be called by stands in the "
                   "bench file: [page] names");
  }
  if (approach.origin && !is_our_page(*approach.origin, approach.hosts.front())) {
    return refusal(403, Fault::not_permitted, "pages of other sites may not ask this bench");
  }
  // A link on another site may lead here, but it cannot carry a change or read the answer.
  if (approach.fetch_site == "cross-site" && approach.path != "/") {
    return refusal(403, Fault::not_permitted, "pages of other sites may not ask this bench");
  }
  return std::nullopt;
}

std::variant<Caller, Response> Gate::caller_of(const Approach& approach) const {
  std::optional<std::string_view> token;
  if (approach.authorization) {
    token = bearer_token(*approach.authorization);
    if (!token) {
      return refusal(401, Fault::not_permitted, "Authorization: Bearer TOKEN is expected");
    }
  } else if (approach.cookie) {
    token = cookie_value(*approach.cookie, settings_.cookie);
  }
  if (token && !token->empty()) {
    if (auto caller = owner_(*token)) return std::move(*caller);
    // A cookie may be older than the list of tokens; who only looks is not kept out for it.
    if (approach.authorization || settings_.needs_token) {
      return refusal(401, Fault::not_permitted,
                     "this token is not, or no longer, known here; make one with: nestcup token "
                     "add NAME");
    }
  }
  if (settings_.needs_token) {
    return refusal(401, Fault::not_permitted,
                   "a token is needed; make one at the bench with: nestcup token add NAME");
  }
  return Caller{};
}

std::variant<Caller, Response> Gate::admit(const Approach& approach) const {
  if (auto refused = stranger(approach)) return std::move(*refused);
  if (is_sign_in(approach.path)) return Caller{};
  auto caller = caller_of(approach);
  if (std::holds_alternative<Response>(caller)) {
    if (looks_only(approach.method) && is_open_path(approach.path)) return Caller{};
    return caller;
  }
  if (!looks_only(approach.method) && std::get<Caller>(caller).role == Role::viewer) {
    return refusal(403, Fault::not_permitted,
                   "viewers change nothing; an operator's token is needed (nestcup token add NAME "
                   "--role operator), or the control socket");
  }
  return caller;
}

std::string Gate::cookie_with(std::string_view token) const {
  constexpr int days = 180;
  return fmt::format("{}={}; Path=/; HttpOnly; SameSite=Strict; Max-Age={}", settings_.cookie,
                     token, token.empty() ? 0 : days * 24 * 3600);
}

}  // namespace nestcup::daemon
