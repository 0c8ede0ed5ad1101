// A report as what it consists of, for pages of several kinds: HTML, Markdown, spreadsheets.
#pragma once

#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "core/report/words/texts.hpp"

namespace nestcup {

/// One field of a table. Texts may have marks of inline_text.hpp.
struct Cell {
  std::string text;
  std::string below{};    ///< a second, quieter line
  std::string id{};       ///< what others refer to it by; unique in the document
  bool is_blank = false;  ///< left free, to be filled in by hand

  Cell() = default;
  Cell(std::string words) : text(std::move(words)) {}
  Cell(const char* words) : text(words) {}
  Cell(std::string words, std::string quiet) : text(std::move(words)), below(std::move(quiet)) {}
};

struct Column {
  std::string head;
  bool is_number = true;  ///< numbers stand right, words left
};

/// Numbered by its place among the document's tables.
struct Table {
  std::string title;
  std::vector<Column> columns;
  std::vector<std::vector<Cell>> rows;  ///< each with a cell a column
  std::string note{};                   ///< below the table
  bool is_long = false;                 ///< shown only when it is asked for, where a page can do so
  std::string key{};  ///< names its file: "timed-readings"; unique in the document
};

/// Numbered by its place among the document's figures.
struct Figure {
  std::string caption;
  std::string words;  ///< what it shows, for those who do not see it
  std::string svg;
};

struct Heading {
  int level = 2;  ///< 2 or 3; the title is 1
  std::string text;
};

struct Paragraph {
  std::string text;
};

struct Bullets {
  std::vector<std::string> items;
};

/// Words of warning, set apart.
struct Cautions {
  std::string title;
  std::vector<std::string> items;
};

using Block = std::variant<Heading, Paragraph, Bullets, Cautions, Table, Figure>;

struct Document {
  Language language = Language::english;
  std::string title;
  std::vector<Block> blocks;

  void add(Block block) { blocks.push_back(std::move(block)); }
};

}  // namespace nestcup
