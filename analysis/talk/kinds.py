"""What a slide can be."""

TITLE, CAMPS, HANDS, CHANGE, ANSWER, LUCK = "title", "camps", "hands", "change", "answer", "luck"
WHO, FILM, WHY, ROCK, CAVEATS, SOURCES = "who", "film", "why", "rock", "caveats", "sources"
