// `nestcup ports --listen PORT`.
#pragma once

#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup {

/// --listen, --baud, --parity, --seconds, --ask.
[[nodiscard]] std::vector<cli::OptionSpec> listen_options();

/// Listens and proposes. @return the exit code
int listen_to_port(const cli::Parsed& parsed, cli::Streams& streams);

/// The options that say how a line is set up: --baud and --parity.
[[nodiscard]] std::vector<cli::OptionSpec> mode_options();
/// @errors usage: a rate or parity that there is not; 1200 Bd
[[nodiscard]] Result<LineMode> chosen_mode(const cli::Parsed& parsed);
/// --seconds. @errors usage: not from 0.1 to 86400
[[nodiscard]] Result<double> chosen_seconds(const cli::Parsed& parsed);

/// `text` with \n, \r, \t, \\ and \xHH as the bytes they stand for.
/// @errors usage: another character behind a backslash
[[nodiscard]] Result<std::string> with_escapes(const std::string& text);

}  // namespace nestcup
