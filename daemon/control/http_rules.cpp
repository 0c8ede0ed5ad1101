#include "daemon/control/http_rules.hpp"

#include <algorithm>
#include <boost/beast/core/string.hpp>
#include <cctype>
#include <string_view>

#include "daemon/control/target.hpp"

namespace nestcup::daemon {
namespace {

namespace http = boost::beast::http;

constexpr std::string_view websocket_version = "13";

std::string_view plain_view(boost::beast::string_view text) {
  return {text.data(), text.size()};
}

/// 16 bytes in base64 (RFC 4648, section 4): 22 characters and the padding.
bool is_websocket_key(std::string_view key) {
  constexpr std::string_view padding = "==";
  constexpr std::size_t digits = 22;
  if (key.size() != digits + padding.size() || !key.ends_with(padding)) return false;
  return std::all_of(key.begin(), key.begin() + digits,
                     [](unsigned char c) { return std::isalnum(c) != 0 || c == '+' || c == '/'; });
}

}  // namespace

bool has_one_host(const HttpRequest& request) {
  return request.version() < 11 || request.count(http::field::host) == 1;
}

bool has_known_coding(const HttpRequest& request) {
  const auto codings = request.count(http::field::transfer_encoding);
  return codings == 0 || (codings == 1 && boost::beast::iequals(
                                              request[http::field::transfer_encoding], "chunked"));
}

std::size_t field_bytes(const HttpRequest& request) {
  constexpr std::size_t around = 4;  // ": " and the line's end
  std::size_t bytes = request.target().size();
  for (const auto& field : request)
    bytes += field.name_string().size() + field.value().size() + around;
  return bytes;
}

Approach approach_of(const HttpRequest& request) {
  const auto field = [&](auto name) -> std::optional<std::string_view> {
    const auto found = request.find(name);
    if (found == request.end()) return std::nullopt;
    return plain_view(found->value());
  };
  // As the router understands it: "/%761/status" is /v1/status.
  const auto target = parse_target(plain_view(request.target()));
  Approach approach{plain_view(request.method_string()),
                    target ? target->path : "",
                    {},
                    field(http::field::origin),
                    field("Sec-Fetch-Site"),
                    field(http::field::authorization),
                    field(http::field::cookie)};
  const auto [first, last] = request.equal_range(http::field::host);
  for (auto host = first; host != last; ++host) {
    approach.hosts.push_back(plain_view(host->value()));
  }
  return approach;
}

std::optional<Response> handshake_fault(const HttpRequest& request) {
  const bool one_key = request.count(http::field::sec_websocket_key) == 1;
  if (!one_key || !is_websocket_key(plain_view(request[http::field::sec_websocket_key]))) {
    return error_response(400, Fault::usage,
                          "no WebSocket (RFC 6455): Sec-WebSocket-Key must be 16 bytes in base64");
  }
  if (plain_view(request[http::field::sec_websocket_version]) == websocket_version) {
    return std::nullopt;
  }
  Response refusal =
      error_response(426, Fault::usage, "this stream is a WebSocket of version 13 (RFC 6455)");
  refusal.fields.emplace_back("Sec-WebSocket-Version", websocket_version);
  return refusal;
}

}  // namespace nestcup::daemon
