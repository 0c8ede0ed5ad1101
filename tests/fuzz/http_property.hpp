// What must hold for the daemon's HTTP and WebSocket whatever a caller sends; for fuzzing and the
// plain tests. The session, gate, router and watchers are the daemon's own, on a pair of sockets.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nestcup::fuzzing {

struct HttpOutcome {
  std::optional<std::string> broken;  ///< what does not hold; nothing where all does
  std::vector<int> statuses;          ///< of the answers, in order
};

/// Sends the bytes behind the first to a session; the first says in pieces of how many bytes (0:
/// all at once). Holds: whatever comes back are whole answers of HTTP/1.1 with sound JSON, and
/// behind a 101 whole unmasked frames; nobody without a token reaches what needs one, nor a viewer
/// what changes something; nothing of the connection is left when it is closed.
[[nodiscard]] HttpOutcome http_outcome(std::string_view input);

}  // namespace nestcup::fuzzing
