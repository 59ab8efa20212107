from shopapi.labor.api.reports import REPORTS

urlpatterns = [url for report in REPORTS for url in report.urls()]
