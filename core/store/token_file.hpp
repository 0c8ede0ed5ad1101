// Tokens that let people at a bench's page: a file beside the store. Of a token itself only its
// digest is kept, so that the file gives nobody entrance.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

struct Token {
  std::string name;     ///< whose it is; stands in the history of what was changed with it
  std::string role;     ///< "viewer" or "operator"
  std::string sha256;   ///< of the token, 64 hexadecimal digits
  std::string made_at;  ///< RFC 3339
};

/// Where the tokens of the bench with this store are.
[[nodiscard]] std::string token_file_path(const std::string& store);

/// All tokens by name; none where there is no file.
/// @errors bad_data: not a file of tokens, with the line or the token; not_permitted, io
[[nodiscard]] Result<std::vector<Token>> read_tokens(const std::string& path);

/// Makes a new token and keeps its digest; the file is readable by its owner alone.
/// @param name  1 to 60 letters, digits, '-', '_' or '.'
/// @param role  "viewer" or "operator"
/// @return the token: 43 characters (256 random bits in RFC 4648's base64url)
/// @errors usage: another name or role; cannot_create: somebody has that name; as read_tokens
[[nodiscard]] Result<std::string> add_token(const std::string& path, const std::string& name,
                                            const std::string& role, const std::string& now);

/// @errors no_input: nobody of that name; as read_tokens
[[nodiscard]] Result<void> remove_token(const std::string& path, const std::string& name);

/// The token's entry, compared without telling by its time how much of it was right.
[[nodiscard]] std::optional<Token> find_token(const std::vector<Token>& tokens,
                                              std::string_view token);

}  // namespace nestcup
