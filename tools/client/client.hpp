// Asks the running daemon something over its control socket, and waits for the answer.
#pragma once

#include <chrono>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

/// Text as one segment of a path or one value of a query: all but letters, digits and "-._~" as
/// %XX (RFC 3986, section 2.1).
[[nodiscard]] std::string percent_encoded(std::string_view text);

/// One request to the daemon and its JSON answer. Blocks for at most `timeout`.
/// @param path  percent-encoded, with the query if any: "/v1/runs?limit=10"
/// @param body  an object, sent as application/json
/// @errors unavailable: no daemon answers there; not_permitted: the socket may not be used;
///   try_later: no answer in time; io: the answer is cut or is not JSON; else what the daemon says
[[nodiscard]] Result<nlohmann::json> call(
    const std::string& socket_path, std::string_view method, std::string_view path,
    const std::optional<nlohmann::json>& body = std::nullopt,
    std::chrono::milliseconds timeout = std::chrono::seconds(20));

}  // namespace nestcup
