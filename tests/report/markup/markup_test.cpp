#include "report/markup/markup.h"

#include "tests/support/test.h"

using namespace trayproof::markup;

TEST_CASE("text cannot become markup") {
  CHECK(element("p", "<script>alert('x')</script> & \"more\"").bytes() ==
        "<p>&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt; &amp; &quot;more&quot;</p>");
}

TEST_CASE("attribute values cannot end their quotes") {
  CHECK(Element("a").with("title", "\" onclick=\"x").text("y").markup().bytes() ==
        "<a title=\"&quot; onclick=&quot;x\">y</a>");
}

TEST_CASE("what XML does not allow becomes the replacement character") {
  CHECK(element("p", std::string_view("a\x01"
                                      "b\x80"
                                      "c",
                                      5))
            .bytes() ==
        "<p>a\xEF\xBF\xBD"
        "b\xEF\xBF\xBD"
        "c</p>");
  CHECK(element("p", "two\nlines\tand a tab").bytes() == "<p>two\nlines\tand a tab</p>");
}

TEST_CASE("elements without content close themselves only where HTML knows them so") {
  CHECK(Element("br").markup().bytes() == "<br/>");
  CHECK(Element("td").markup().bytes() == "<td></td>");
}

TEST_CASE("numbers in attributes have a point and one decimal whatever the locale") {
  CHECK(Element("rect").with("x", 12.345).with("y", -0.04).markup().bytes() == "<rect x=\"12.3\" y=\"0\"/>");
}
