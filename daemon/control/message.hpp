// What a request asks and what is answered, free of any transport.
#pragma once

#include <sys/types.h>

#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/base/result.hpp"
#include "daemon/control/caller.hpp"

namespace nestcup::daemon {

/// The process at the other end of a Unix socket, as the kernel vouches for it.
struct Peer {
  uid_t uid = 0;
  pid_t pid = 0;
  std::string login;  ///< login name, or "uid N" where the system knows none
};

/// A request as it came off the wire, before anything in it is believed.
struct RawRequest {
  std::string method;
  std::string target;        ///< path and query, still percent-encoded
  std::string content_type;  ///< empty where none was sent
  std::string body;
  std::optional<Peer> peer;  ///< absent on transports that do not know it
  Caller caller{};
  std::string if_none_match{};  ///< RFC 9110, section 13.1.2; empty where none was sent
};

/// A request that found its handler.
struct Request {
  std::string method;
  std::string path;                             ///< decoded
  std::map<std::string, std::string> captured;  ///< by name: the "{id}" parts of the pattern
  std::map<std::string, std::string> query;
  nlohmann::json body = nlohmann::json::object();  ///< an object, empty where none was sent
  std::string if_none_match{};
  std::optional<Peer> peer;
  Caller caller{};
};

/// An answer. `body` is complete text in the form that `content_type` names.
struct Response {
  unsigned status = 200;
  std::string content_type = "application/json";
  std::string body;
  std::string allow;  ///< methods for the Allow field, empty for no field
  std::string cache_control = "no-store";
  std::vector<std::pair<std::string, std::string>> fields{};  ///< further ones
};

/// Takes the answer to one request. May be called from any thread, once, as long as the server's
/// io_context lives; later calls, and calls after the deadline, are ignored.
using Reply = std::function<void(Response)>;

/// An answer with this value as its JSON body. Text that is not UTF-8 is mended, never thrown at.
[[nodiscard]] Response json_response(const nlohmann::json& value, unsigned status = 200);

/// The answer to a failed request: {"error":{"kind":"bad-data","text":"..."}}.
[[nodiscard]] Response error_response(const Error& error);

/// The same with a status of the protocol's own (405, 413, ...).
[[nodiscard]] Response error_response(unsigned status, Fault kind, std::string_view text);

/// The HTTP status (RFC 9110) that stands for a kind of failure.
[[nodiscard]] unsigned status_of(Fault kind);

}  // namespace nestcup::daemon
