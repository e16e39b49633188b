// What stands around every page: head, who is here, where one can go, the sentence that this program replaces nobody.
// Pages are facts in, markup out; only `Frame` and what stands inside make the bytes.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/desk/routes.h"
#include "report/markup/markup.h"

namespace trayproof::desk {

struct Frame {
  std::string title;
  std::string station;  // label; empty: not enrolled, and then there is nowhere to go
  std::string person;   // who is here; empty: nobody
  bool with_pin = false;
  std::string csrf;
  std::string here;  // the address of this page, for the way that stands out
};

Frame frame_of(const Identity& who, std::string title, std::string_view here);
Response page(const Frame& frame, const markup::Markup& inside, int status = 200);
// A page that says one sentence; for errors. JSON for programs.
Response page_of_error(Desk& desk, const Request& request, const Identity& who, int status, std::string_view sentence);

// <form method=post> with what every form carries: the csrf token and, where it records, a fresh slip.
enum class Records { no, yes };
markup::Element form_to(std::string_view address, const Frame& frame, Records records = Records::no);
markup::Markup button(std::string_view text);
// A label with its field in it.
struct Input {
  std::string_view label;
  std::string_view name;
  std::string_view type = "text";
  std::string_view value = {};
  std::string_view autocomplete = "off";
};
markup::Markup input(const Input& input);

}  // namespace trayproof::desk
