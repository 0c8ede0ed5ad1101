// The single tables of a bench file. Internal to the room.
#pragma once

#include <string>
#include <vector>

#include "core/sheet/bench_file.hpp"
#include "core/sheet/toml_section.hpp"

namespace nestcup {

/// `written` as an absolute path, taken from the folder of the file at `file_path`.
[[nodiscard]] std::string path_beside(const std::string& file_path, const std::string& written);

/// [bench]: name, paths and times of `bench` (whose path is set).
void read_bench_table(TomlSection section, BenchFile& bench);
/// [page]
/// @param has_page  whether [bench] says where to listen
[[nodiscard]] PageSettings read_page_table(TomlSection section, bool has_page);
/// A [[port]].
/// @param interval_s  how often polled probes are asked; a silence is never shorter
[[nodiscard]] PortSettings read_port(TomlSection& section, double interval_s);
/// A [[probe]]; which keys it has depends on its port. That the port exists is checked by
/// check_probes.
[[nodiscard]] ProbeSettings read_probe(TomlSection& section,
                                       const std::vector<PortSettings>& ports);
/// A [[notebook]] of the bench file at `file_path`.
[[nodiscard]] NotebookSettings read_notebook(TomlSection& section, const std::string& file_path);
/// [class] of the bench file at `file_path`.
[[nodiscard]] ClassSettings read_class(TomlSection section, const std::string& file_path);

/// What only shows when all ports and probes are known: names twice, ports that are not there,
/// columns read twice, roles missing or taken twice.
void check_ports(std::span<TomlSection> sections, const std::vector<PortSettings>& ports);
void check_probes(TomlSection& file, std::span<TomlSection> sections, const BenchFile& bench);

}  // namespace nestcup
