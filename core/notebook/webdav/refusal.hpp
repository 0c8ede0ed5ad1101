// What a WebDAV server's status means for a notebook (RFC 9110, RFC 4918, RFC 6585).
#pragma once

#include <string>

#include "core/base/result.hpp"
#include "core/notebook/webdav/http_client.hpp"

namespace nestcup {

/// A status that is no success, as an error with what to try.
/// @param method  of the request
/// @param where   the address, for messages
/// @return bad_data: it would be the same for this file again (413); not_permitted: 401, 403;
///         bad_configuration: no WebDAV there, or a redirect; try_later: 423, 429; io: no room
///         (507); unavailable: all else, which may pass
[[nodiscard]] Error dav_refusal(const std::string& method, const std::string& where,
                                const HttpAnswer& answer);

}  // namespace nestcup
