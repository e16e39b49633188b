#include "tests/tidy/tree.h"

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace trayproof::tidy {
namespace {

namespace fs = std::filesystem;

const fs::path root = TRAYPROOF_SOURCE_DIR;

bool is_letter(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_'; }

}  // namespace

bool File::is_code() const { return path.ends_with(".h") || path.ends_with(".cpp") || path.ends_with(".cpp.in"); }

std::string File::room() const {
  const std::size_t slash = path.rfind('/');
  return slash == std::string::npos ? std::string() : path.substr(0, slash);
}

std::vector<File> files_under(const std::string& folder) {
  std::vector<File> files;
  const fs::path start = root / folder;
  if (!fs::exists(start)) return files;
  for (auto it = fs::recursive_directory_iterator(start); it != fs::recursive_directory_iterator(); ++it) {
    const std::string name = it->path().filename().string();
    if (name.starts_with(".") || name == "__pycache__") {
      if (it->is_directory()) it.disable_recursion_pending();
      continue;
    }
    if (!it->is_regular_file()) continue;
    File file{.path = fs::relative(it->path(), root).generic_string(), .lines = {}};
    std::ifstream in(it->path(), std::ios::binary);
    for (std::string line; std::getline(in, line);) file.lines.push_back(line);
    files.push_back(std::move(file));
  }
  std::sort(files.begin(), files.end(), [](const File& a, const File& b) { return a.path < b.path; });
  return files;
}

const std::vector<File>& product() {
  static const auto all = [] {
    std::vector<File> files;
    for (const char* folder : {"ledger", "importer", "report"}) {
      for (File& file : files_under(folder)) files.push_back(std::move(file));
    }
    return files;
  }();
  return all;
}

std::string text_of(const std::string& path) {
  std::ifstream in(root / path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

std::string joined(const File& file) {
  std::string all;
  for (const std::string& line : file.lines) all += line + "\n";
  return all;
}

std::vector<std::string> literals(std::string_view line) {
  std::vector<std::string> found;
  for (std::size_t at = 0; at < line.size(); ++at) {
    if (line[at] == '/' && at + 1 < line.size() && line[at + 1] == '/') break;
    if (line[at] == '\'' && at + 2 < line.size()) {  // a character, which may be a quote
      at += line[at + 1] == '\\' ? 3U : 2U;
      continue;
    }
    if (line[at] != '"') continue;
    std::string text;
    for (++at; at < line.size() && line[at] != '"'; ++at) {
      if (line[at] == '\\' && at + 1 < line.size()) text += line[at++];
      text += line[at];
    }
    found.push_back(text);
  }
  return found;
}

bool has_word(std::string_view text, std::string_view word) {
  for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
    const bool left = at == 0 || !is_letter(text[at - 1]);
    const bool right = at + word.size() >= text.size() || !is_letter(text[at + word.size()]);
    if (left && right) return true;
  }
  return false;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

std::set<std::string> places_of(std::string_view text) {
  std::set<std::string> names;
  for (std::size_t open = text.find('{'); open != std::string_view::npos; open = text.find('{', open + 1)) {
    names.insert(std::string(text.substr(open + 1, text.find_first_of("|}", open) - open - 1)));
  }
  return names;
}

void Violations::add(const std::string& path, std::size_t line, const std::string& what) {
  all_ += path + ":" + std::to_string(line) + ": " + what + "\n";
}

}  // namespace trayproof::tidy
