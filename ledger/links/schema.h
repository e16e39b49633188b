// The text of schema.sql, embedded at build: the tables of layer 2, and apart from them the indexes.
#pragma once

#include <string>

namespace trayproof::links {

std::string layer_two_tables_sql();
std::string layer_two_indexes_sql();

}  // namespace trayproof::links
